package madeup

import "math"

// Faults is what goes wrong. Times count from the night's beginning, in s.
type Faults struct {
	ShortedCells  int     // cells that only conduct
	Sulphated     float64 // resistances grow by this much: 9 is tenfold
	ReversedLeads bool    // the meter sees the battery backwards and the charger refuses
	OpenLeadAt    float64 // the battery is gone; the charger's voltage wanders
	RunawayAt     float64 // from here the side reaction doubles every RunawayEvery
	RunawayEvery  float64 // s
	StalledAt     float64 // from here the charger gives StalledAmps and no more
	StalledAmps   float64 // A
	LoadAmps      float64 // A drawn beside the battery; the meter sits at the charger
	Lost          []Span  // the source is away and comes back
	ClockSteps    []Step  // the meter's clock is set
}

// Span is a stretch of a night, in s from its beginning.
type Span struct{ From, To float64 }

// Step sets a clock forward by By seconds, or back where By is negative.
type Step struct{ At, By float64 }

func within(spans []Span, at float64) bool {
	for _, s := range spans {
		if at >= s.From && at < s.To {
			return true
		}
	}
	return false
}

// wander is how a charger without a battery holds its voltage: badly, as a
// share of its limit. Three periods that do not fit together look random.
func wander(now float64) float64 {
	return 1.03 + 0.02*math.Sin(now/37) + 0.015*math.Sin(now/211) + 0.01*math.Sin(now/5)
}

// doubled is the growth after so many doublings, up to a thousandfold.
func doubled(times float64) float64 { return math.Exp2(min(times, 10)) }
