package analyze

import "math"

// A quick charger for nickel knows the end better than a log does: it stops at 4 mV a cell
// past the peak, or on the peak itself, of which a row a minute or a display of 10 mV shows
// nothing. What does show is the way there. The voltage of a nickel cell climbs ever more
// steeply when it is nearly full, and then bends over within minutes. A timer that ends in
// mid-charge cuts the curve off where it is straight, or steep.
const (
	roundedFrom   = 0.4    // of the charge: before that the voltage rises steeply, too, and bends over
	roundedSlower = 1. / 3 // of the steepest pace: so slowly it must rise in the end
	roundedTurn   = 1.5    // times the slowest pace before: so steep it must have become
	roundedLeast  = 900    // s: no battery is filled sooner
	roundedSure   = 6      // times the noise of a pace
	roundedDigits = 2
)

// roundedSpans are what the pace is read from, as shares of the charge: the shortest on which
// the steepest rise stands out from noise and digits.
var roundedSpans = []float64{0.03, 0.05, 0.08, 0.12}

// rounded reports whether the voltage had climbed ever faster, and bent over, by bin end,
// until it rose no faster than a share of its steepest pace.
func rounded(tr *trace, end int, slower float64, volts *meter) bool {
	if end < 20 || tr.bins[end-1].t1-tr.bins[0].t0 < roundedLeast {
		return false
	}
	t0, t1 := tr.bins[0].t0, tr.bins[end-1].t1
	for _, share := range roundedSpans {
		half := share / 2 * (t1 - t0)
		pace := func(until float64) (rise, amps, sure float64) { // of one half over the other
			a, middle, b := tr.index(until-2*half)+1, tr.index(until-half)+1, tr.index(until)+1
			if middle <= a || b <= middle {
				return 0, 0, math.Inf(1)
			}
			before, _, n1 := tr.mean(a, middle)
			after, amps, n2 := tr.mean(middle, b)
			return after - before, amps, unsureOf(volts, roundedDigits, n1, n2)
		}
		late, amps, unsure := pace(t1)
		steepest, slowest, turned := 0.0, math.Inf(1), false
		for t := t0 + roundedFrom*(t1-t0); t < t1-half; t += half {
			p, i, u := pace(t)
			if math.IsInf(u, 1) {
				continue
			}
			unsure, slowest = max(unsure, u), min(slowest, p)
			if p > steepest { // with more current than in the end, it may have bent over with that
				steepest, turned = p, p > roundedTurn*slowest && amps >= peakSteady*i
			}
		}
		if turned && late <= slower*steepest && steepest-late > unsure {
			return true
		}
	}
	return false
}

// unsureOf is how far two means of so many rows may differ by noise and so many digits alone, V.
func unsureOf(volts *meter, digits, n1, n2 float64) float64 {
	return max(roundedSure*volts.noise()*math.Sqrt(1/n1+1/n2), digits*volts.step())
}
