package analyze

import "math"

// A load beside a battery that is full already, a refrigerator in a caravan say, comes on
// and goes off again while the charger holds its limit. When it comes on, the current leaps
// from below the tail to what the load takes, and the voltage stays. What the battery itself
// takes has come to its tail all the same, and a charge that is complete does not become
// incomplete with every turn of the load. A cloud over a panel takes the voltage down
// with the current, and the current of a battery that heats itself climbs without a leap.
// Common practice, no source.

// beforeLoad is the bin in which a load came on that hides the tail while the voltage was
// held, or else the one in which it was left, looking back from bin end.
func beforeLoad(tr *trace, cv, end int, limit, lowest float64) int {
	for end > cv && tr.bins[end-1].v() < lowest { // stepped down since
		end--
	}
	off := tr.since(end, cv, lowest, 0, limit) // gone off again a moment ago
	k := tr.since(off, cv, lowest, limit, math.Inf(1))
	on := min(k+1, end-1) // the first bin may be mixed of both
	if k == off || k == cv || tr.bins[on].i() < gradual*tr.bins[k-1].i() {
		return end
	}
	low := tr.since(k, cv, lowest, 0, limit)
	if tr.bins[k-1].t1-tr.bins[low].t0 < tailSeconds {
		return end
	}
	return k
}

// since is the first of the bins up to end, and from cv on, in which the voltage was no lower
// and the current more than one and no more than another.
func (tr *trace) since(end, cv int, lowest, more, most float64) int {
	for end > cv && tr.bins[end-1].v() >= lowest && tr.bins[end-1].i() > more && tr.bins[end-1].i() <= most {
		end--
	}
	return end
}
