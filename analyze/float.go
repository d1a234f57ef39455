package analyze

import "math"

// A float stage holds the battery at a voltage below the absorption: 13.5 to
// 13.8 V after 14.4 V, 4 to 6 % less (reference values of gel and AGM makers).
// Half of that tells a step down from a drift.
const (
	floatDrop    = 0.02 // of the held voltage
	floatCurrent = 0.3  // of the set current: more is a charge that goes on
	floatSeconds = 120
	floatRows    = 3
)

// steppedDown says when the charger left the held voltage for a lower one that
// it still feeds, looking at bins from index cv on, s. A full battery takes no more than the
// tail, A, for long where it is lifted again. One that is not yet full may take a good current from a
// float at first: what stood at the voltage of now, within a slack, V, was that float.
func steppedDown(tr *trace, cv, end int, held, slack, set, tail float64) (at float64, ok bool) {
	k := tr.tailEnd(end, floatRows, floatSeconds)
	if k <= cv {
		return 0, false
	}
	lower := held * (1 - floatDrop)
	v, i, _ := tr.mean(k, end)
	if v > lower || i > floatCurrent*set && !tr.tookLess(cv, k, v, slack, floatCurrent*set) {
		return 0, false
	}
	// A later boost may have lifted it again: the first lasting step counts, unless the charge went
	// on for long; then a cloud, or a load, had taken the current for a while.
	at = Unknown()
	below, back, left := 0.0, 0.0, 0.0
	for k := cv; k < end; k++ {
		b, before := &tr.bins[k], tr.bins[max(k-1, cv)].t1
		if b.v() > lower || b.i() > floatCurrent*set && math.Abs(b.v()-v) > slack {
			if below = 0; b.v() > lower && b.i() > tail {
				back += b.t1 - before
			}
			if back >= heldSurely {
				at = Unknown()
			}
			continue
		}
		if below == 0 {
			// It left the held voltage after the last row there: a full battery takes
			// nothing at first, and is not heard of for a while.
			left = before
		}
		below += b.rows
		if below >= floatRows && b.t1-left >= floatSeconds && !Known(at) {
			at, back = left, 0
		}
	}
	return at, Known(at)
}

// tookLess reports whether the battery took no more than so much, A, at the voltage of now, within a slack, V, until a
// little before bin end: a battery does not take more at the same voltage later, so the rest is a load that hangs
// beside it.
func (tr *trace) tookLess(cv, end int, volts, slack, most float64) bool {
	for end > cv && tr.bins[end-1].i() > most && math.Abs(tr.bins[end-1].v()-volts) <= slack {
		end--
	}
	k := tr.tailEnd(end, floatRows, floatSeconds)
	if k <= cv {
		return false
	}
	v, i, _ := tr.mean(k, end)
	return i <= most && math.Abs(v-volts) <= slack
}
