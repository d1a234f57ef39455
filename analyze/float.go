package analyze

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
// it still feeds, looking at bins from index cv on, s.
func steppedDown(tr *trace, cv, end int, held, set float64) (at float64, ok bool) {
	k := tr.tailEnd(end, floatRows, floatSeconds)
	if k <= cv {
		return 0, false
	}
	lower := held * (1 - floatDrop)
	v, i, _ := tr.mean(k, end)
	if v > lower || i > floatCurrent*set {
		return 0, false
	}
	// A later boost may have lifted it again: the first lasting step counts.
	below := 0.0
	for k := cv; k < end; k++ {
		b := &tr.bins[k]
		if b.v() > lower || b.i() > floatCurrent*set {
			below = 0
			continue
		}
		if below == 0 {
			// It left the held voltage after the last row there: a full battery takes
			// nothing at first, and is not heard of for a while.
			at = tr.bins[max(k-1, cv)].t1
		}
		below += b.rows
		if below >= floatRows && b.t1-at >= floatSeconds {
			return at, true
		}
	}
	return 0, false
}
