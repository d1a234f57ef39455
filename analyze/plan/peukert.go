package plan

import (
	"math"

	"amphora/analyze"
)

// Peukert's law in its rated-hour form, t = H (C/(I H))^k. The bare form
// t = C/I^k, found on many pages, is right only where C is the capacity at
// 1 A: it gives 14.5 h for 100 Ah at the 20-hour rate and 5 A, where the label
// itself promises 20. One published table "for k = 1.1" follows 1.17 to 1.19
// and is no check either.

// peukertCapacity is the capacity in C over rated s of a battery that was seen
// to give amps for t s until its end voltage.
func peukertCapacity(t, amps, rated, k float64) float64 {
	return amps * rated * math.Pow(t/rated, 1/k)
}

// capacityAtHours converts a capacity in C rated over fromHours to the one
// rated over toHours; the times may be in any unit, the same for both.
func capacityAtHours(capacity, fromHours, toHours, k float64) float64 {
	return capacity * math.Pow(toHours/fromHours, 1-1/k)
}

// peukertExponent is k from two discharges: t1 s at amps1 and t2 s at amps2.
func peukertExponent(t1, amps1, t2, amps2 float64) float64 {
	return math.Log(t1/t2) / math.Log(amps2/amps1)
}

// peukertRange is the usual k of a lead-acid kind. A retailer's page and a
// second table agree on AGM; for gel they end at 1.25 and 1.20, for flooded at
// 1.6 and 1.30. The flooded range begins at 1.17, the exponent inside the
// importer's reserve formula, because starter batteries sit there (74 Ah with
// 130 min is 1.16), and ends at 1.30, since 1.6 is a worn traction battery.
// Other chemistries give nearly the same charge at every rate: k is 1.
func peukertRange(c analyze.Chemistry) bounds {
	switch c {
	case analyze.LeadFlooded:
		return bounds{reserveExponent, 1.30}
	case analyze.LeadAGM:
		return bounds{1.05, 1.15}
	case analyze.LeadGel:
		return bounds{1.10, 1.25}
	}
	return bounds{1, 1}
}
