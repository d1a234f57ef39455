package analyze

import "math"

// A quick charger for nickel may go by how fast the cells warm, and stops, or goes on with a
// trickle, before the voltage has come to its peak: behind where it climbs the steepest (in every maker's
// curves; see forecastnickel.go). A charger that protects itself from heat, or has run into its
// own timer, does so anywhere, mostly where the voltage hardly moves.
const (
	steepenedFrom = 0.4  // of the time: before that the voltage rises steeply, too,
	steepenedSkip = 0.25 // the same of a pace over a longer time, which must not begin before
	steepenedLate = 0.25 // of the time: so late it must have been
)

// steepenings are what a pace is read from, as a share of the time, and how many times the slowest it
// must be: over a short time one stands out that a coarse meter shows only over a long one, which
// is twice as steep where the rise to the peak has begun (see forecastnickel.go). The steeper one is common
// practice, no source.
var steepenings = []struct{ span, growth, digits float64 }{
	{0.06, 3, roundedDigits},
	{0.25, riseGrowth, 0.5}, // over which the voltage passes digits
}

// steepened reports whether a voltage that may be nickel's was climbing several times as fast
// shortly before bin end as it had before.
func steepened(tr *trace, end int, volts *meter) bool {
	if end < 20 || tr.bins[end-1].t1-tr.bins[0].t0 < roundedLeast || nickelCells(tr.bins[end-1].v()) == 0 {
		return false
	}
	t0, t1 := tr.bins[0].t0, tr.bins[end-1].t1
	for _, s := range steepenings {
		span := s.span * (t1 - t0)
		pace := func(until float64) (rise, sure float64) { // of the last third over the first
			a, b, c, e := tr.index(until-span), tr.index(until-span*2/3), tr.index(until-span/3), tr.index(until)
			before, _, n1 := tr.mean(a, max(b, a+1))
			after, _, n2 := tr.mean(c, max(min(e+1, end), c+1))
			return after - before, unsureOf(volts, s.digits, n1, n2)
		}
		slowest, unsure := math.Inf(1), 0.0
		for t := t0 + max(steepenedFrom, steepenedSkip+s.span)*(t1-t0); t <= t1; t += span / 2 {
			p, u := pace(t)
			slowest, unsure = min(slowest, p), max(unsure, u)
			if p > s.growth*max(slowest, 0)+unsure && t > t1-steepenedLate*(t1-t0) {
				return true
			}
		}
	}
	return false
}

// climbed reports whether the full current of what is surely nickel ended like that before bin
// end, or of what may be nickel and shows it by its warmth. At a voltage at which other batteries
// climb, too, a timer may have cut one of them off.
func (c *charge) climbed(o *Options, end int, volts *meter) bool {
	tr := &c.trace
	full := tr.fullUntil(end, c.most)
	if full == 0 || o.Chemistry != "" && !o.Chemistry.Nickel() {
		return false
	}
	return surelyNickel(o, tr.bins[full-1].v()) && steepened(tr, full, volts) || warmed(tr, full)
}
