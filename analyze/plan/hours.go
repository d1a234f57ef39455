package plan

import (
	"math"

	"amphora/analyze"
)

// bulkFraction is the state of charge at which the voltage limit begins to
// rule. Lead-acid: 70 to 80 % by an encyclopaedia copy of DIN 41773; the lower
// makes the longer taper. Lithium: from memory, as early as that behind thin
// leads or in an old pack.
const bulkFraction = 0.7

// hoursFor estimates how long a charge takes, in s, for a capacity in C (its low
// and high estimate), a depth of discharge 0 to 1 and a current in A.
//
// The short end is a charger that holds its current to the end and a battery
// with the least charge factor. The long end reaches the voltage limit early
// and then tapers exponentially to the tail current with the greatest factor.
// A flat flooded battery at a tenth of its capacity gets 11.5 to 19.1 h, which
// is the usual "12 to 20 h".
func hoursFor(c analyze.Chemistry, capacity bounds, depth, amps float64) bounds {
	low := chargeToReturn(c, capacity, depth).Low / amps
	return bounds{low, longest(c, capacity.High, depth, amps)}
}

// longest is the time in s with an early taper and the greatest charge factor.
func longest(c analyze.Chemistry, capacity, depth, amps float64) float64 {
	toReturn := capacity * depth * chargeFactors(c).High
	tail := tailShare(c) * capacity / hour
	if tail == 0 || drownsTail(amps, tail) {
		return toReturn / amps
	}
	bulk := capacity * max(0, bulkFraction-(1-depth))
	tau := (toReturn - bulk) / (amps - tail)
	return bulk/amps + tau*math.Log(amps/tail)
}

// drownsTail reports whether a current in A is so near the tail current, or below it,
// that there is no taper to see: it simply goes on.
func drownsTail(amps, tail float64) bool { return amps < 1.05*tail }

// chargeToReturn is what goes in, in C.
func chargeToReturn(c analyze.Chemistry, capacity bounds, depth float64) bounds {
	f := chargeFactors(c)
	return bounds{capacity.Low * depth * f.Low, capacity.High * depth * f.High}
}
