package madeup

import "amphora/analyze"

// Truth is what really happened in a night, before the meter saw it. Times are
// in s from the night's beginning, which is also the first row's time; unknown
// is NaN in here and null in JSON.
type Truth struct {
	Name       string            `json:"name"`
	Story      string            `json:"story"`
	Chemistry  analyze.Chemistry `json:"chemistry"`
	Cells      int               `json:"cells"`
	CapacityAh analyze.Number    `json:"capacity_ah"`
	Good       bool              `json:"good"` // nothing in it calls for a warning
	LastS      analyze.Number    `json:"last_s"`
	Charges    []ChargeTruth     `json:"charges"`
}

// ChargeTruth is the truth about one charge.
type ChargeTruth struct {
	StartS analyze.Number `json:"start_s"` // when charging current first flowed
	// Constant current ends somewhere from ReachS to HoldS: ReachS is when the
	// voltage first came to the charger's limit, LimitS when the limit first
	// ruled (a charger that overshoots is later than the voltage), and HoldS
	// when it began to rule for good (one that pauses starts anew).
	ReachS analyze.Number `json:"reach_s"`
	LimitS analyze.Number `json:"limit_s"`
	HoldS  analyze.Number `json:"hold_s"`
	// FinishS is when the charge was complete: the current at the held voltage
	// fell to 2 % of the rated capacity (lead-acid) or 5 % (lithium), the
	// charger stepped down to float or ended at its own tail before that, or a
	// nickel battery's voltage peaked.
	FinishS analyze.Number  `json:"finish_s"`
	EndS    analyze.Number  `json:"end_s"` // when charging current last flowed
	Outcome analyze.Outcome `json:"outcome"`
	EndedBy analyze.EndedBy `json:"ended_by"`

	InAh  analyze.Number `json:"charge_in_ah"`
	OutAh analyze.Number `json:"charge_out_ah"` // with the discharge before the charge, and after the last
	InWh  analyze.Number `json:"energy_in_wh"`

	SetAmps     analyze.Number `json:"set_a"`  // highest current while the current limit ruled
	HeldVolts   analyze.Number `json:"held_v"` // mean while the voltage limit ruled, before the finish
	PeakVolts   analyze.Number `json:"peak_v"`
	TailAmps    analyze.Number `json:"tail_a"` // just before the current stopped
	PeakCelsius analyze.Number `json:"max_celsius"`

	Ohm           analyze.Number `json:"ohm"`             // the part that answers at once, at the end of the current
	SettledVolts  analyze.Number `json:"settled_v"`       // where the rest is heading
	StateOfCharge analyze.Number `json:"state_of_charge"` // at the end of the rest, 0 to 1; a little overfull is 1
}
