package analyze

import "fmt"

// Options are what is known of the battery, the charger and the meter before
// the first sample. The zero value knows nothing, and that is enough.
type Options struct {
	Channel string
	Battery string

	Chemistry Chemistry // "" is unknown
	Cells     int       // in series; 0 is unknown
	Capacity  float64   // rated, C; 0 is unknown
	Tail      Tail
	Limits    Limits
	Earlier   []Earlier // this battery's nights before, the newest last; may be empty
	Patience  Patience  // of the detectors; may be empty

	// Epoch is the date of the log's first row, ns since 1970, where it is known
	// beforehand: that of an account which goes on where another began, so that a
	// charge has the same date and name in both. 0: the rows tell.
	Epoch int64

	Current Accuracy // of the meter's current; zero takes DefaultAccuracy
	Voltage Accuracy // of the meter's voltage; zero takes DefaultAccuracy
}

// Tail is the current at which a charge counts as complete: a number of
// amperes, or a fraction of capacity per hour. The zero value takes the
// chemistry's default.
type Tail struct {
	Amps     float64
	Fraction float64 // of the ampere-hours, 1/h
}

// Accuracy is what a meter's data sheet states: a fraction of the reading, plus
// counts of its last digit, plus a fixed amount in the unit of the reading.
type Accuracy struct {
	Fraction float64
	Digits   float64
	Absolute float64
}

// DefaultAccuracy stands in where nobody stated one: that of a plain bench
// meter (common practice, no source).
var DefaultAccuracy = Accuracy{Fraction: 0.01, Digits: 3}

func (a Accuracy) orDefault() Accuracy {
	if a == (Accuracy{}) {
		return DefaultAccuracy
	}
	return a
}

// String writes the accuracy as data sheets do.
func (a Accuracy) String() string {
	s := fmt.Sprintf("%.4g%%", a.Fraction*100)
	if a.Digits != 0 {
		s += fmt.Sprintf(" + %.3gd", a.Digits)
	}
	if a.Absolute != 0 {
		s += fmt.Sprintf(" + %.4g", a.Absolute)
	}
	return s
}

// The default tail, as a fraction of capacity per hour. Lead-acid: about 2 % of
// C20 in the absorption stage (a maker's table read second-hand). Lithium: 0.05
// C cut-off of a 304 Ah cell's data sheet. Where the chemistry is not known
// either, the larger of the two would call a lead-acid battery done too early,
// so the smaller is taken.
const (
	tailLead    = 0.02
	tailLithium = 0.05
)

// TailFraction is that of a chemistry, 1/h.
func TailFraction(c Chemistry) float64 {
	if c.Lithium() {
		return tailLithium
	}
	return tailLead
}
