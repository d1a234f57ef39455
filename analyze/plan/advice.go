package plan

import "amphora/analyze"

// Advice is the plan, in the units that people set: ampere-hours, hours,
// amperes, volts. Unknown figures are null. Every group gives the reasons of
// its figures, named as in JSON.
type Advice struct {
	Chemistry analyze.Chemistry `json:"chemistry"`
	Cells     int               `json:"cells"`
	NominalV  analyze.Number    `json:"nominal_v"`
	Celsius   analyze.Number    `json:"celsius"` // what the figures were made for
	Depth     analyze.Number    `json:"depth_of_discharge"`

	// MayCharge is false where charging as the battery is now would do harm;
	// there are no currents then, and the first warning says why.
	MayCharge   bool     `json:"may_charge"`
	Warnings    []string `json:"warnings"`
	Assumptions []string `json:"assumptions"` // what was taken for granted
	Missing     []string `json:"missing"`     // what would make the plan better

	Capacity    CapacityAdvice     `json:"capacity"`
	Current     CurrentAdvice      `json:"current"`
	Voltage     VoltageAdvice      `json:"voltage"`
	Hours       *HoursAdvice       `json:"hours"`
	Charger     ChargerAdvice      `json:"charger"`
	Leads       *LeadsAdvice       `json:"leads"`
	Ventilation *VentilationAdvice `json:"ventilation"`
	Cautions    []Caution          `json:"cautions"`
	Warn        LimitsAdvice       `json:"limits"`      // what a channel should warn of
	Limits      string             `json:"limits_yaml"` // the same, for the configuration
}

// Reason says why a figure is what it is and who says so.
type Reason struct {
	Of     string `json:"of"`
	Why    string `json:"why"`
	Source string `json:"source"`
}

// commonPractice marks what everybody does and nobody could be cited for.
const commonPractice = "common practice, no source"

// arithmetic marks what follows from a definition.
const arithmetic = "arithmetic"

// CapacityAdvice is what is known of the capacity.
type CapacityAdvice struct {
	CautiousAh       analyze.Number `json:"cautious_ah"` // the smallest, from which currents are made
	At25AAh          analyze.Number `json:"at_25_a_ah"`
	TwentyHourAh     analyze.Number `json:"twenty_hour_ah"`
	TwentyHourLowAh  analyze.Number `json:"twenty_hour_low_ah"`
	TwentyHourHighAh analyze.Number `json:"twenty_hour_high_ah"`
	RatedAh          analyze.Number `json:"rated_ah"`
	RatedHours       analyze.Number `json:"rated_hours"`
	Peukert          analyze.Number `json:"peukert_exponent"`
	Reasons          []Reason       `json:"reasons"`
}

// CurrentAdvice is what to set the current to.
type CurrentAdvice struct {
	CautiousA analyze.Number `json:"cautious_a"`
	FastestA  analyze.Number `json:"fastest_a"`
	ChosenA   analyze.Number `json:"chosen_a"` // what the hours are made for
	Reasons   []Reason       `json:"reasons"`
}

// VoltageAdvice is what to set the voltage to, for the whole battery.
type VoltageAdvice struct {
	AbsorptionV        analyze.Number `json:"absorption_v"`
	AbsorptionLowV     analyze.Number `json:"absorption_low_v"`
	AbsorptionHighV    analyze.Number `json:"absorption_high_v"`
	FloatV             analyze.Number `json:"float_v"`
	AbsorptionPerCellV analyze.Number `json:"absorption_per_cell_v"`
	FloatPerCellV      analyze.Number `json:"float_per_cell_v"`
	Reasons            []Reason       `json:"reasons"`
}

// HoursAdvice is how long it will take and how much will go in.
type HoursAdvice struct {
	LowH         analyze.Number `json:"low_h"`
	HighH        analyze.Number `json:"high_h"`
	FastestLowH  analyze.Number `json:"fastest_low_h"` // at the fastest current
	FastestHighH analyze.Number `json:"fastest_high_h"`
	ReturnLowAh  analyze.Number `json:"return_low_ah"`
	ReturnHighAh analyze.Number `json:"return_high_ah"`
	FactorLow    analyze.Number `json:"charge_factor_low"`
	FactorHigh   analyze.Number `json:"charge_factor_high"`
	Spoken       string         `json:"spoken"`
	Reasons      []Reason       `json:"reasons"`
}

// ChargerAdvice is what to set the charger's own guards to.
type ChargerAdvice struct {
	TimerH   analyze.Number `json:"timer_h"`
	CutOffAh analyze.Number `json:"cut_off_ah"`
	TailA    analyze.Number `json:"tail_a"`
	OwnH     analyze.Number `json:"own_timer_h"` // as stated
	Reasons  []Reason       `json:"reasons"`
}

// LimitsAdvice is beyond what amphora should warn on the channel.
type LimitsAdvice struct {
	Hours    analyze.Number `json:"hours"`
	Celsius  analyze.Number `json:"celsius"`
	ChargeAh analyze.Number `json:"charge_ah"`
}

// LeadsAdvice is what the leads do to the voltage.
type LeadsAdvice struct {
	LoopOhm analyze.Number `json:"loop_ohm"`
	DropV   analyze.Number `json:"drop_v"` // at the chosen current
	HeatW   analyze.Number `json:"heat_w"`
	Reasons []Reason       `json:"reasons"`
}

// VentilationAdvice is what air the charge needs.
type VentilationAdvice struct {
	AirflowM3PerH  analyze.Number `json:"airflow_m3_per_h"`       // at absorption voltage
	FloatM3PerH    analyze.Number `json:"airflow_float_m3_per_h"` // once it floats
	OpeningCm2     analyze.Number `json:"opening_cm2"`
	RoomM3         analyze.Number `json:"room_m3"`
	DistanceM      analyze.Number `json:"distance_m"`
	HydrogenLPerAh analyze.Number `json:"hydrogen_l_per_ah"` // per Ah of overcharge
	Reasons        []Reason       `json:"reasons"`
}
