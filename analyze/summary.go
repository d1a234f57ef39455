package analyze

import "time"

// Document is what is said of one log: the log itself and the charges in it.
type Document struct {
	Log      Log       `json:"log"`
	Sessions []Session `json:"sessions"`
}

// Log tells how a log was read.
type Log struct {
	Source        string      `json:"source"`
	Rows          int         `json:"rows"` // rows that hold data, used or not
	Used          int         `json:"used"`
	Rejected      []Rejection `json:"rejected"` // the first 100
	RejectedCount int         `json:"rejected_count"`
	// RejectedByReason counts every rejection under its reason.
	RejectedByReason map[string]int `json:"rejected_by_reason"`
	Decoder          string         `json:"decoder"`
	Layout           string         `json:"layout"`
	// Setting is the decoder as it can be pasted into a configuration.
	Setting string `json:"setting,omitempty"`
	// Doubt says what else the lines may mean, where they leave that open.
	Doubt string `json:"doubt,omitempty"`
	// Meter is the stated accuracy that the uncertainties rest on.
	Meter string `json:"meter,omitempty"`
}

// Rejection is a row that was not used, and why.
type Rejection struct {
	Line   int    `json:"line"`
	Reason string `json:"reason"`
}

// Outcomes of a charge.
const (
	Complete Outcome = "complete"
	CutShort Outcome = "cut-short" // the current stopped before the tail condition
	Running  Outcome = "running"   // the log ends while charging
	NoCharge Outcome = "no-charge" // nothing to speak of flowed
	Faulted  Outcome = "faulted"   // an alarm ended it
)

// Outcome says how a charge came out.
type Outcome string

// What ended a charge.
const (
	EndTailCurrent    EndedBy = "tail-current"
	EndVoltagePeak    EndedBy = "voltage-peak"
	EndFloat          EndedBy = "float" // stepped down to a holding voltage
	EndCurrentStopped EndedBy = "current-stopped"
	EndLogEnded       EndedBy = "log-ended"
)

// EndedBy names what ended a charge.
type EndedBy string

// Stages of a charge.
const (
	Idle            StageName = "idle"
	ConstantCurrent StageName = "constant-current"
	ConstantVoltage StageName = "constant-voltage"
	Finish          StageName = "finish"
	Rest            StageName = "rest"
)

// StageName names a stage of a charge.
type StageName string

// StageNames lists the stages in the order of a charge.
func StageNames() []StageName {
	return []StageName{Idle, ConstantCurrent, ConstantVoltage, Finish, Rest}
}

// Session is one charge. Times in s count from the log's first row.
type Session struct {
	ID      string     `json:"id"`
	Channel string     `json:"channel"`
	Battery Name       `json:"battery"`
	Started *time.Time `json:"started"` // null where the log knows no date

	StartS  Number  `json:"start_s"`
	EndS    Number  `json:"end_s"`    // when charging current last flowed
	FinishS Number  `json:"finish_s"` // when the charge was complete
	Outcome Outcome `json:"outcome"`
	EndedBy EndedBy `json:"ended_by"`

	ChargeInAh    Number `json:"charge_in_ah"`
	ChargeInAhU95 Number `json:"charge_in_ah_u95"` // expanded uncertainty, k = 2
	// ChargeInAhBudget is where that uncertainty comes from.
	ChargeInAhBudget *ChargeBudget `json:"charge_in_ah_budget"`
	// ChargeMethod is how the current was added up; null in what an earlier version kept.
	ChargeMethod Name `json:"charge_method"`

	ChargeOutAh Number `json:"charge_out_ah"`
	EnergyInWh  Number `json:"energy_in_wh"`
	EnergyOutWh Number `json:"energy_out_wh"` // 0 in what an earlier version kept

	SetA       Number `json:"set_a"`  // the charger's own current limit, as seen
	HeldV      Number `json:"held_v"` // the charger's voltage limit, as seen
	PeakV      Number `json:"peak_v"`
	TailA      Number `json:"tail_a"` // current just before it stopped, or at the log's end
	MaxCelsius Number `json:"max_celsius"`

	Chemistry         Chemistry `json:"chemistry"`
	Cells             Count     `json:"cells"`
	ChemistryInferred bool      `json:"chemistry_inferred"`

	Stages     []Stage      `json:"stages"`
	Findings   []Finding    `json:"findings"`
	Gaps       []Gap        `json:"gaps"`
	RestBefore *RestFit     `json:"rest_before"` // null where no row without current was seen before it
	Rest       *RestFit     `json:"rest"`
	Resistance []Resistance `json:"resistance"`
	// DirectResistance has what has polarised within some seconds in it: rows far apart tell it too.
	DirectResistance []DirectResistance `json:"dc_resistance"`
	Forecast         *Forecast          `json:"forecast"`
	Capacity         *Capacity          `json:"capacity"`
}

// ChargeBudget is the parts of the uncertainty of a charge, Ah, one standard
// uncertainty each (k = 1); they add up in squares.
type ChargeBudget struct {
	Gain     Number `json:"gain"`     // the current meter's error in proportion to the reading
	Zero     Number `json:"zero"`     // its error that does not depend on the reading
	Sampling Number `json:"sampling"` // noise, and steps of the current between two rows
}

// Stage is a stretch of a charge ruled by one thing, and why we think so.
type Stage struct {
	Stage    StageName `json:"stage"`
	StartS   Number    `json:"start_s"`
	EndS     Number    `json:"end_s"`
	ChargeAh Number    `json:"charge_ah"`
	EnergyWh Number    `json:"energy_wh"`
	MeanV    Number    `json:"mean_v"`
	MeanA    Number    `json:"mean_a"`
	Why      string    `json:"why"`
}

// Severity orders findings.
type Severity string

// Severities, from the harmless up.
const (
	Note    Severity = "note"
	Warning Severity = "warning"
	Alarm   Severity = "alarm"
)

// Worse reports whether a severity is above another. None at all is below a note.
func (s Severity) Worse(than Severity) bool { return s.rank() > than.rank() }

func (s Severity) rank() int {
	switch s {
	case Alarm:
		return 3
	case Warning:
		return 2
	case Note:
		return 1
	}
	return 0
}

// Finding is something odd that a person may want to know.
type Finding struct {
	Code     string   `json:"code"`
	Severity Severity `json:"severity"`
	AtS      Number   `json:"at_s"`  // when it began
	EndS     Number   `json:"end_s"` // when it cleared; null while it holds
	Message  string   `json:"message"`
}

// Gap is a stretch without rows, with a bound on what may have flowed in it.
type Gap struct {
	StartS      Number `json:"start_s"`
	EndS        Number `json:"end_s"`
	ChargeAh    Number `json:"charge_ah"` // an estimate, not counted in charge_in_ah
	ChargeAhU95 Number `json:"charge_ah_u95"`
}

// RestFit is what the voltage without current says, before a charge or after it.
type RestFit struct {
	DurationS     Number `json:"duration_s"`
	LastV         Number `json:"last_v"`
	SettledV      Number `json:"settled_v"`
	SettledVU95   Number `json:"settled_v_u95"`
	StateOfCharge Number `json:"state_of_charge"` // 0 to 1
	Method        string `json:"method"`
}

// Resistance is the battery's inner resistance seen at one step of current.
type Resistance struct {
	AtS    Number `json:"at_s"`
	Ohm    Number `json:"ohm"`
	OhmU95 Number `json:"ohm_u95"`
	FromA  Number `json:"from_a"`
	ToA    Number `json:"to_a"`
	Method string `json:"method"`
}

// Forecast is when a running charge will be done.
type Forecast struct {
	FinishS    Number `json:"finish_s"`
	FinishSU95 Number `json:"finish_s_u95"`
	ChargeInAh Number `json:"charge_in_ah"`
	Method     string `json:"method"`
}

// Capacity sets the charge against what the battery is rated for.
type Capacity struct {
	RatedAh          Number `json:"rated_ah"`
	AbsorbedFraction Number `json:"absorbed_fraction"`
	ChargeFactor     Number `json:"charge_factor"`      // as stated for the chemistry
	DepthOfDischarge Number `json:"depth_of_discharge"` // 0 to 1; only a complete charge tells it
}
