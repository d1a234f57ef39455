package analyze

import (
	"fmt"
	"math"
)

// A source limited in power gives less current as the voltage rises: over the
// stage the current falls by as much as the voltage rises, and their product
// stands still. LiFePO4 hardly rises until it is nearly full, so the climb at the end is asked
// as well. It is over when the voltage limit rules, or the current stops. Common
// practice, no source.
const (
	powerFall   = 0.03 // the current must have fallen by so much
	powerSpread = 0.5  // and the power by less than this share of it
	powerNarrow = 0.15 // the same of either half of a climb
	powerBins   = 2    // fewer of a climb tell nothing
	powerClear  = 0.25 // of a climb at either end, clear of the plateau and of the bend
	powerLeast  = 24   // bins; fewer of all tell nothing
	powerUneven = 0.1  // by more the power must not scatter, unless the current fell by as much
)

func powerLimited(c *charge, v *view, f *findings, p Patience) {
	tr := &c.trace
	n := min(v.constantAt, len(tr.bins))
	if n < powerLeast {
		return
	}
	early, late := n/8, n-n/8 // clear of a soft start and of the bend
	least := powerFall * p.of(CodePowerLimited)
	from, to := late-n/8, late
	if fall, power := tr.weakened(early, from, to); fall < least || power >= powerSpread*fall {
		if from, to = tr.climbing(late, n); !tr.climbsAtOnePower(early, from, to, least) {
			return
		}
	}
	v1, i1, _ := tr.mean(early, 2*early)
	v2, i2, _ := tr.mean(from, to)
	if tr.unevenPower(early, to, v1*i1) > max(1-i2/i1, powerUneven) {
		return // a charger that throttles by turns
	}
	message := fmt.Sprintf("the current fell from %.3g to %.3g A while the voltage rose from %.2f to %.2f V: about %.3g W all the while, the source is limited in power, not in current. Many are; a stronger one would be done sooner", i1, i2, v1, v2, v1*i1)
	switch at := c.begin.t; {
	case Known(v.cv):
		f.happened(CodePowerLimited, at, v.cv, message)
	case c.stopped:
		f.happened(CodePowerLimited, at, c.stop().t, message)
	default:
		f.raise(CodePowerLimited, at, message)
	}
}

// unevenPower is by what share the power of bins [from, to) scatters about so many watts.
func (tr *trace) unevenPower(from, to int, watts float64) float64 {
	sum := 0.0
	for k := from; k < to; k++ {
		off := tr.bins[k].v()*tr.bins[k].i()/watts - 1
		sum += off * off
	}
	return math.Sqrt(sum / float64(to-from))
}

// weakened is by what share the current fell, and by what share the power changed, from as many bins as lie
// before early, right after them, to some later ones; the voltage must have risen.
func (tr *trace) weakened(early, from, to int) (fall, power float64) {
	v1, i1, _ := tr.mean(early, 2*early)
	v2, i2, _ := tr.mean(from, to)
	if v2 <= v1 {
		return 0, 0
	}
	return 1 - i2/i1, math.Abs(1 - v2*i2/(v1*i1))
}

// climbsAtOnePower reports whether the current fell with a climb of the voltage in either half of it: a limit,
// or a source that folds back, takes most of it in the second.
func (tr *trace) climbsAtOnePower(early, from, to int, least float64) bool {
	if to-from < powerBins {
		return false
	}
	fall, _ := tr.weakened(early, from, to)
	half := (from + to) / 2
	_, lower := tr.weakened(early, from, half)
	_, upper := tr.weakened(early, half, to)
	return fall >= least && max(lower, upper) < powerNarrow*fall
}

// climbing is the middle of the last climb of the voltage in some bins, from one until before another.
func (tr *trace) climbing(from, to int) (first, end int) {
	low, high := tr.bins[from].v(), tr.bins[to-1].v()
	for end = to; end > from && tr.bins[end-1].v() > high-powerClear*(high-low); {
		end--
	}
	for first = end; first > from && tr.bins[first-1].v() > low+powerClear*(high-low); {
		first--
	}
	return first, end
}
