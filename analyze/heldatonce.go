package analyze

import "math"

// A battery that is nearly full, or one whose voltage ends steeply as that of LiFePO4 does, comes to its charger's
// limit within moments, and then takes little at once: the current falls in a few rows and hardly
// from there on, or even rises again. What tells of a limit is that the voltage went no further and did not go
// back: without one it would have given way by what the current had taken over the battery's
// resistance, and moved on (physics; the figures are our choice).
const (
	atOnceFall   = 0.7  // of the current: fallen to less, it fell at once
	atOnceLine   = 400  // times: so much more than the voltage went back or has moved since, each in its own measure
	atOnceNear   = 0.02 // of the voltage: it was as near before, else it leapt there, as where a lead comes off
	atOnceLeap   = 0.05 // of the voltage: so far it may leap while more than this of the current flows on
	approachMost = 0.05 // of the time so far: a voltage that came near more slowly stood on a plateau
	approachBins = 2
)

// fellAtOnce reports whether the current fell so in the bins in which the voltage is near a level, and gives what it
// was before and has been since, A.
func fellAtOnce(tr *trace, from, n int, level float64, volts *meter) (before, since float64, yes bool) {
	for k := max(from-approachBins, 0); k <= from; k++ {
		before = max(before, tr.bins[k].i())
	}
	at := from
	for at < n && tr.bins[at].i() > atOnceFall*before {
		at++
	}
	if n-at-1 < heldBins || tr.bins[n-1].t1-tr.bins[at].t1 < heldSeconds {
		return 0, 0, false
	}
	near := tr.bins[at].t0 - tr.bins[from].t0
	if near > max(approachMost*(tr.bins[at].t0-tr.bins[0].t0), approachBins*tr.width) {
		return 0, 0, false
	}
	q, moved, fewest := quarters(tr, at+1, n)
	since = (q[0] + q[1] + q[2] + q[3]) / 4
	leap := atOnceNear
	if since > atOnceLeap*before {
		leap = atOnceLeap
	}
	if since > atOnceFall*before || tr.bins[max(from-1, 0)].v() < (1-leap)*level {
		return 0, 0, false
	}
	moved = max(math.Abs(moved)-2*volts.noise()*math.Sqrt(2/fewest), unresolved*volts.step())
	for k := max(from-approachBins, 0); k <= at; k++ {
		moved = max(moved, tr.bins[k].v()-level-2*volts.noise())
	}
	return before, since, (before-since)/before > atOnceLine*moved/level
}
