package analyze

import "math"

// A quick charger for nickel may go by how fast the cells warm, and stops, or goes on with a
// trickle, before the voltage has come to its peak: behind where it climbs the steepest (in every maker's
// curves; see forecastnickel.go). A charger that protects itself from heat, or has run into its
// own timer, does so anywhere, mostly where the voltage hardly moves.
const (
	steepenedSpan   = 0.06 // of the time: what a pace is read from
	steepenedFrom   = 0.4  // of the time: before that the voltage rises steeply, too
	steepenedLate   = 0.25 // of the time: so late it must have been
	steepenedGrowth = 3    // times the slowest pace: common practice, no source; two is where the rise begins, more the meter must tell
)

// steepened reports whether a voltage that may be nickel's was climbing several times as fast
// shortly before bin end as it had before.
func steepened(tr *trace, end int, volts *meter) bool {
	if end < 20 || tr.bins[end-1].t1-tr.bins[0].t0 < roundedLeast || nickelCells(tr.bins[end-1].v()) == 0 {
		return false
	}
	t0, t1 := tr.bins[0].t0, tr.bins[end-1].t1
	span := steepenedSpan * (t1 - t0)
	pace := func(until float64) (rise, sure float64) { // of the last third over the first
		a, b, c, e := tr.index(until-span), tr.index(until-span*2/3), tr.index(until-span/3), tr.index(until)
		before, _, n1 := tr.mean(a, max(b, a+1))
		after, _, n2 := tr.mean(c, max(min(e+1, end), c+1))
		return after - before, unsureOf(volts, n1, n2)
	}
	slowest, unsure := math.Inf(1), 0.0
	for t := t0 + steepenedFrom*(t1-t0); t <= t1; t += span / 2 {
		p, u := pace(t)
		slowest, unsure = min(slowest, p), max(unsure, u)
		if p > steepenedGrowth*max(slowest, 0)+unsure && t > t1-steepenedLate*(t1-t0) {
			return true
		}
	}
	return false
}

// climbed reports whether the full current of what is nickel ended like that before bin end.
// Where nobody says that it is, a lead-acid battery that a timer cuts off looks alike.
func (c *charge) climbed(o *Options, end int, volts *meter) bool {
	tr := &c.trace
	return o.Chemistry.Nickel() && steepened(tr, tr.fullUntil(end, c.most), volts)
}
