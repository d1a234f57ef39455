package analyze

import "fmt"

// Throttled: before any voltage limit the current fell to less than three quarters of the highest, for
// an hour and more, and took the voltage down with it. The charger protects itself from heat, or
// its source weakens, or a load beside the battery takes the rest. With a fifth and less that is a
// trickle (trickle.go) and is warned of; with more the charge takes longer, and its stage
// says why. Common practice, no source.
const (
	throttledShare   = 0.75 // of the highest current
	throttledSeconds = 3600
)

// throttled is since when a charge has had less current, s, and how much, before bin end; NaN where it had not.
func (c *charge) throttled(end int, volts *meter) (since, amps float64) {
	tr := &c.trace
	k := end - 1
	for k > 0 && tr.bins[k].i() < pushedShare*c.most {
		k--
	}
	from := k + 1
	for from < end && tr.bins[from].i() >= throttledShare*c.most {
		from++
	}
	if from == end || tr.bins[end-1].t1-tr.bins[from].t0 < throttledSeconds {
		return Unknown(), Unknown()
	}
	before := tr.ending(0, k+1, 4, flatBlock)
	to := tr.index(tr.bins[from].t0 + throttledSeconds)
	after, lowest := tr.ending(from, to+1, 4, flatBlock), before.v
	for _, b := range tr.backwards(from, to+1, 4, flatBlock) {
		lowest = min(lowest, b.v)
	}
	if after.i >= throttledShare*c.most || lowest > before.v-max(3*volts.noise(), volts.step()) {
		return Unknown(), Unknown() // an unregulated source gives less to a voltage that rises
	}
	return before.t1, after.i
}

// whyThrottled says so, as part of a sentence.
func (c *charge) whyThrottled(end int, volts *meter) string {
	since, amps := c.throttled(end, volts)
	if !Known(since) {
		return ""
	}
	return fmt.Sprintf("; from %s it fell to about %.2g A, and the voltage with it: the charger gave way to heat, its source weakened, or a load took the rest", clock(since), amps)
}
