package plan

import (
	"fmt"

	"amphora/analyze"
)

// Input is what the label and the owner say, in SI units. Unknown (NaN, see
// NewInput) is what nobody said; the zero Chemistry and Cells are unknown too.
type Input struct {
	Reserve      float64 // s at 25 A
	Capacity     float64 // C
	Energy       float64 // J, as lithium packs are labelled, instead of Capacity
	RatedTime    float64 // s over which Capacity is rated
	ColdCranking float64 // A, which says nothing about capacity
	Chemistry    analyze.Chemistry
	Cells        int
	Volts        float64 // nominal V, instead of Cells
	Depth        float64 // of discharge, 0 to 1
	Rate         float64 // A, the current to plan for
	RateShare    float64 // or the same as a share of capacity per hour
	Celsius      float64 // at the battery
	Timer        float64 // s, the charger's own limit
	LeadLength   float64 // m, one way
	LeadArea     float64 // m2
}

// NewInput is an input of which nothing is known.
func NewInput() Input {
	u := analyze.Unknown()
	return Input{
		Reserve: u, Capacity: u, Energy: u, RatedTime: u, ColdCranking: u, Volts: u, Depth: u,
		Rate: u, RateShare: u, Celsius: u, Timer: u, LeadLength: u, LeadArea: u,
	}
}

const (
	beyond    = 1e12 // in SI units; nothing on a label comes near
	mostCells = 1000
)

// Wrong is an input that no label can say, or that does not fit the rest.
type Wrong struct {
	Of  string // what of the input is wrong, by the name that flags and forms have for it
	Why string
}

// Error is the reason.
func (w *Wrong) Error() string { return w.Why }

func wrong(of, format string, args ...any) error { return &Wrong{of, fmt.Sprintf(format, args...)} }

// check refuses what no label can say.
func (in Input) check() error {
	for _, q := range []struct {
		of, name string
		value    float64
	}{
		{"reserve-minutes", "reserve time", in.Reserve}, {"capacity", "capacity", in.Capacity}, {"capacity", "energy", in.Energy},
		{"rated-hours", "rated time", in.RatedTime}, {"cold-cranking", "cold-cranking current", in.ColdCranking},
		{"volts", "nominal voltage", in.Volts}, {"rate", "charge current", in.Rate}, {"rate", "charge rate", in.RateShare},
		{"timer", "timer", in.Timer}, {"lead-length", "lead length", in.LeadLength}, {"lead-area", "lead cross-section", in.LeadArea},
	} {
		if analyze.Known(q.value) && q.value <= 0 {
			return wrong(q.of, "%s is not above zero: leave it out if it is unknown", q.name)
		}
		if q.value > beyond {
			return wrong(q.of, "%s is beyond every battery: look at the unit", q.name)
		}
	}
	switch {
	case analyze.Known(in.Depth) && (in.Depth <= 0 || in.Depth > 1):
		return wrong("depth", "depth of discharge %g is not between 0 and 1: 1 is flat", in.Depth)
	case analyze.Known(in.Celsius) && (in.Celsius < -60 || in.Celsius > 100):
		return wrong("celsius", "temperature %g °C is none that a battery has: give degrees Celsius", in.Celsius)
	case in.Cells < 0 || in.Cells > mostCells:
		return wrong("cells", "%d cells: give how many are in series, at most %d", in.Cells, mostCells)
	case analyze.Known(in.Rate) && analyze.Known(in.RateShare):
		return wrong("rate", "a current of %g A and a rate of %g of the capacity: give one of them", in.Rate, in.RateShare)
	case analyze.Known(in.LeadLength) && !analyze.Known(in.LeadArea):
		return wrong("lead-area", "leads need both a length and a cross-section")
	case analyze.Known(in.LeadArea) && !analyze.Known(in.LeadLength):
		return wrong("lead-length", "leads need both a length and a cross-section")
	case analyze.Known(in.Capacity) && analyze.Known(in.Energy):
		return wrong("capacity", "both ampere-hours and watt-hours: give the ampere-hours alone")
	case analyze.Known(in.RatedTime) && !analyze.Known(in.Capacity) && !analyze.Known(in.Energy):
		return wrong("rated-hours", "rated hours without a capacity: give the ampere-hours they belong to")
	}
	return nil
}

// assume fills in what was not said and tells so.
func (in Input) assume(a *Advice) (Input, error) {
	say := func(format string, args ...any) { a.Assumptions = append(a.Assumptions, fmt.Sprintf(format, args...)) }
	if in.Chemistry == "" {
		in.Chemistry = analyze.LeadFlooded
		say("a flooded lead-acid battery, since no chemistry was given: on any other, and on lithium above all, these settings are wrong")
	}
	if analyze.Known(in.Reserve) && !in.Chemistry.Lead() {
		return in, wrong("reserve-minutes", "reserve minutes rate lead-acid batteries, not %s: give the capacity in ampere-hours", in.Chemistry)
	}
	if err := in.assumeCells(say); err != nil {
		return in, err
	}
	if !analyze.Known(in.Celsius) {
		in.Celsius = referenceCelsius
		say("25 °C at the battery")
	}
	if !analyze.Known(in.Depth) {
		in.Depth = 1
		say("a flat battery: less is needed if it is not")
	}
	if analyze.Known(in.Energy) && in.Cells > 0 {
		volts := in.Volts
		if !analyze.Known(volts) {
			volts = nominalVolts(in.Chemistry) * float64(in.Cells)
		}
		in.Capacity = in.Energy / volts
		say("%.3g Ah, from %.4g Wh at %g V", in.Capacity/ampereHour, in.Energy/hour, volts)
	}
	if analyze.Known(in.Capacity) && !analyze.Known(in.RatedTime) {
		in.RatedTime = twentyHours
		if !in.Chemistry.Lead() {
			in.RatedTime = 5 * hour
		}
		say("the capacity is rated over %g h, as is usual for %s", in.RatedTime/hour, in.Chemistry)
	}
	return in, nil
}

// assumeCells finds the number of cells and checks it against the voltage.
func (in *Input) assumeCells(say func(string, ...any)) error {
	if analyze.Known(in.Volts) {
		n, err := cellsFor(in.Chemistry, in.Volts)
		if in.Cells == 0 && err != nil {
			return err
		}
		if in.Cells == 0 {
			in.Cells = n
			say("%d cells, from %g V at %g V a cell", n, in.Volts, nominalVolts(in.Chemistry))
		} else if err == nil && n != in.Cells {
			return wrong("cells", "%d cells and %g V do not fit together: %g V is %d cells of %s", in.Cells, in.Volts, in.Volts, n, in.Chemistry)
		}
	}
	if in.Cells == 0 && in.Chemistry.Lead() {
		in.Cells = 6
		say("six cells, a 12 V battery")
	}
	return nil
}
