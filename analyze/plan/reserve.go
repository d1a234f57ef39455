package plan

import (
	"math"

	"amphora/analyze"
)

// Reserve capacity is the time for which a full new 12 V battery gives 25 A
// down to 10.50 V (1.75 V a cell), at 26.7 degrees Celsius in the American
// definition and 25 in the European. It is a time: reading "RC 90" as 90 Ah,
// as one workshop text does, overstates the battery more than twice.
const reserveAmps = 25.0 // A

// An importer of batteries publishes Cr = 0.83 C20^1.17 (minutes, Ah). It is
// Peukert's law with k = 1.17: 1200/500^1.17 is 0.834.
const (
	reserveFactor   = 0.83
	reserveExponent = 1.17
)

// EN 50342-1 and IEC 60095-1 carry formulas of the same shape. The constants
// are from memory and no edition was seen; the vented pair is consistent with
// a Peukert step (0.7706 for its exponent), the valve-regulated pair is not
// and could not be corroborated. They widen the range shown and decide nothing.
const (
	ventedFactorRecalled   = 0.7732
	ventedExponentRecalled = 1.1828
	valveFactorRecalled    = 0.9887
	valveExponentRecalled  = 1.1201
)

// twentyHours is the rated time of the usual label, in s.
const twentyHours = 20 * hour

// reserveCharge is the charge in C that flows in a reserve time in s: minutes
// times 25/60, or minutes/2.4, in ampere-hours.
func reserveCharge(reserve float64) float64 { return reserveAmps * reserve }

// twentyHourFromReserve estimates the 20-hour capacity in C from a reserve time
// in s. best is the importer's formula for flooded batteries and the middle of
// the usual Peukert exponents for the others; the range spans the usual
// exponents and the recalled formula of the standards. Only lead-acid
// batteries are rated in reserve minutes.
func twentyHourFromReserve(reserve float64, c analyze.Chemistry) (best float64, span bounds) {
	k := peukertRange(c)
	low := peukertCapacity(reserve, reserveAmps, twentyHours, k.Low)
	high := peukertCapacity(reserve, reserveAmps, twentyHours, k.High)
	recalled := reservePower(reserve, valveFactorRecalled, valveExponentRecalled)
	best = peukertCapacity(reserve, reserveAmps, twentyHours, (k.Low+k.High)/2)
	if c == analyze.LeadFlooded {
		recalled = reservePower(reserve, ventedFactorRecalled, ventedExponentRecalled)
		best = reservePower(reserve, reserveFactor, reserveExponent)
	}
	return best, bounds{min(low, recalled, best), max(high, recalled, best)}
}

// reservePower inverts Cr = factor C20^exponent, in minutes and ampere-hours.
func reservePower(reserve, factor, exponent float64) float64 {
	return ampereHour * math.Pow(reserve/minute/factor, 1/exponent)
}
