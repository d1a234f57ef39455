package analyze

import "math"

// Some chargers for lead-acid go on, when the current at the limit has faded, with a small constant current of their own
// for some hours (DIN 41772 calls it IUIa): the voltage leaves the limit, climbs by tenths of a volt within
// minutes, and then goes where the gassing battery wants it. None of that is a held voltage, though it may stand for
// hours. A charger that raises its limit looks different: there the
// current leaps, and fades again. Common practice, no source for the numbers.
const (
	lastBlock  = 300  // s that are averaged, three times
	lastSteady = 0.02 // of the current: what a source keeps, and a taper does not
)

// lastCurrent is the bin from which on a charger went on with a small current of its own, above the limit that was
// seen; len(tr.bins) where none did.
func lastCurrent(tr *trace, h *hold, amps *meter) int {
	n := len(tr.bins) - 1 // the last bin is still open
	from := -1
	for k := tr.index(h.seen) + 1; k < n; k++ {
		switch b := &tr.bins[k]; {
		case b.v() <= h.volts+h.slack:
			from = -1
		case from < 0:
			from = k
		case b.t1-tr.bins[from].t0 >= 3*lastBlock:
			if tr.keepsCurrent(from, h, amps) {
				return from
			}
			for k+1 < n && tr.bins[k+1].v() > h.volts+h.slack { // some other stage
				k++
			}
		}
	}
	return len(tr.bins)
}

// keepsCurrent reports whether in three blocks from a bin on a small current stood, while the voltage climbed on.
func (tr *trace) keepsCurrent(from int, h *hold, amps *meter) bool {
	low, high, v := math.Inf(1), math.Inf(-1), 0.0
	begin := tr.bins[from].t0
	least := math.Inf(1)
	for k := range 3 {
		a, b := tr.index(begin+float64(k)*lastBlock), tr.index(begin+float64(k+1)*lastBlock)
		if k == 0 {
			a++ // the first bin may be mixed of both
		}
		if b <= a {
			return false
		}
		var i, rows float64
		v, i, rows = tr.mean(a, b)
		low, high, least = min(low, i), max(high, i), min(least, rows)
	}
	slack := max(lastSteady*high, 4*amps.noise()/math.Sqrt(least), 1.5*amps.step())
	return high-low <= slack && high <= floatCurrent*h.first && high >= starvedSteps*amps.step() && v >= h.volts+2*h.slack
}
