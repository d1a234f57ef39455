package condition

import (
	"math"
	"time"

	"amphora/analyze"
)

// Quantities that are followed.
const (
	ResistanceFull    = "resistance-after-charge"
	ResistanceStart   = "resistance-before-charge"
	ResistanceDirect  = "resistance-direct-current"
	ResistanceByHand  = "resistance-by-hand"
	CapacityByCharge  = "capacity-by-charge"
	AbsorbedCharge    = "absorbed-charge"
	MeasuredFactor    = "charge-factor"
	EndCurrent        = "end-current"
	SettledVoltage    = "settled-voltage"
	CurrentStageHours = "constant-current-hours"
	VoltageStageHours = "constant-voltage-hours"
	VoltageByHand     = "rest-voltage-by-hand"
	GravityByHand     = "gravity-by-hand"
)

// observation is one value of a series.
type observation struct {
	at      time.Time
	value   float64
	u95     float64 // of the value; NaN where unknown
	celsius float64 // NaN where unknown
	session string  // "" for what was noted by hand
}

// series is one quantity of a battery over time, like with like.
type series struct {
	quantity, name, unit string
	points               []observation
	leftOut              int
	notes                []string
	doubt                float64 // of the change over the whole span, as a share (95 %): what could not be made alike
	warmth               float64 // 1/K by which the value was led to one temperature; 0 where it was not
	celsius              []float64
	others               [][]float64 // the points' values, if the battery is of one of the kinds that its name covers
}

// seen adds what a charge showed at a moment of it.
func (s *series) seen(c *analyze.Session, at analyze.Number, value, u95 float64) {
	s.add(observation{moment(c, at), value, u95, float64(c.MaxCelsius), c.ID})
}

// noted adds what somebody measured by hand, whose uncertainty nobody stated.
func (s *series) noted(r *Reading, value float64) {
	s.add(observation{r.At, value, analyze.Unknown(), r.Celsius, ""})
}

// readAs adds what the last point is if the battery is of one of the kinds that its name covers.
func (s *series) readAs(kind int, value float64) {
	for len(s.others) <= kind {
		s.others = append(s.others, nil)
	}
	s.others[kind] = append(s.others[kind], value)
}

func (s *series) add(o observation) {
	if analyze.Known(o.value) {
		s.points = append(s.points, o)
	}
}

// series are all that the history gives, some of them empty.
func (h *history) series() []*series {
	list := h.resistances()
	absorbed := &series{quantity: AbsorbedCharge, name: "charge taken until full", unit: "Ah", notes: []string{"it follows how deeply the battery was used as well as its health"}}
	current := &series{quantity: CurrentStageHours, name: "time in constant current", unit: "h", notes: []string{"complete charges; it follows use and charger as well as health"}}
	voltage := &series{quantity: VoltageStageHours, name: "time in constant voltage", unit: "h", notes: []string{"complete charges; it follows use and charger as well as health"}}
	settled := &series{quantity: SettledVoltage, name: "settled voltage after a full charge", unit: "V"}
	for _, s := range h.complete() {
		absorbed.seen(s, s.EndS, taken(s), float64(s.ChargeInAhU95))
		for _, g := range s.Stages {
			switch hours := float64(g.EndS-g.StartS) / 3600; g.Stage {
			case analyze.ConstantCurrent:
				current.seen(s, s.EndS, hours, analyze.Unknown())
			case analyze.ConstantVoltage:
				voltage.seen(s, s.EndS, hours, analyze.Unknown())
			}
		}
		if r := s.Rest; r != nil && r.SettledVU95 <= vagueRest {
			settled.seen(s, s.EndS, float64(r.SettledV), float64(r.SettledVU95))
		}
	}
	volts := &series{quantity: VoltageByHand, name: "rest voltage noted by hand", unit: "V", notes: []string{"it follows the state of charge; compare readings of a full battery"}}
	gravity := &series{quantity: GravityByHand, name: "specific gravity noted by hand", unit: "", notes: []string{"it follows the state of charge; compare readings of a full battery"}}
	for k := range h.readings {
		r := &h.readings[k]
		volts.noted(r, r.Volts)
		gravity.noted(r, r.Gravity)
	}
	return append(list, h.capacities(), absorbed, h.factors(), h.endCurrents(), settled, current, voltage, volts, gravity)
}

// factors are the charge factors that were measured: a complete charge, after
// which a discharge was recorded, and the complete charge after that.
func (h *history) factors() *series {
	s := &series{quantity: MeasuredFactor, name: "charge factor measured", unit: "", notes: []string{"charge in over charge out since the full charge before, where the log saw both"}}
	for k, c := range h.charges {
		// Below a share of the charge, what was seen of the discharge is not all of it.
		const leastOut, mostFactor = 0.5, 2
		full := k > 0 && h.charges[k-1].Outcome == analyze.Complete && c.Outcome == analyze.Complete
		if in, out := float64(c.ChargeInAh), float64(c.ChargeOutAh); full && out > leastOut*in && in/out < mostFactor {
			s.seen(c, c.EndS, in/out, analyze.Unknown())
		}
	}
	return s
}

// endCurrents are the currents at the end of complete charges at like voltage.
func (h *history) endCurrents() *series {
	s := &series{quantity: EndCurrent, name: "current at the end of charge", unit: "A"}
	var held []float64
	for _, c := range h.complete() {
		if analyze.Known(c.HeldV) {
			held = append(held, float64(c.HeldV))
		}
	}
	usual := median(held)
	for _, c := range h.complete() {
		if math.Abs(float64(c.HeldV)-usual) <= 0.01*usual {
			s.seen(c, c.EndS, float64(c.TailA), analyze.Unknown())
		} else if analyze.Known(c.TailA) {
			s.leftOut++
		}
	}
	s.notes = append(s.notes, "complete charges at the same held voltage within 1 %; a charger that ends them at a set current shows that current")
	return s
}
