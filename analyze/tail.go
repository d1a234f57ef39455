package analyze

import (
	"fmt"
	"math"
)

// tailLimit is the current below which a charge in constant voltage counts as
// complete, and how it was come by.
type tailLimit struct {
	amps     float64 // A; 0 when a fraction of what has gone in stands for it
	fraction float64 // 1/h, of capacity or of the charge so far
	unseen   float64 // C, what probably flowed in gaps, and was not counted
	why      string
}

// at is the limit after so much charge, A for C.
func (l *tailLimit) at(charge float64) float64 {
	if l.amps > 0 {
		return l.amps
	}
	return l.fraction * (charge + l.unseen) / secondsPerHour
}

const secondsPerHour = 3600

func newTailLimit(o *Options, c Chemistry) tailLimit {
	fraction, whose := TailFraction(c), "usual for "+string(c)
	if c == "" {
		whose = "cautious, the chemistry is not known"
	}
	if o.Tail.Fraction > 0 {
		fraction, whose = o.Tail.Fraction, "as set"
	}
	switch {
	case o.Tail.Amps > 0:
		return tailLimit{amps: o.Tail.Amps, why: fmt.Sprintf("tail of %.3g A, as set", o.Tail.Amps)}
	case o.Capacity > 0:
		a := fraction * o.Capacity / secondsPerHour
		return tailLimit{amps: a, why: fmt.Sprintf("tail of %.3g A: %.3g %% of %.4g Ah, %s", a, fraction*100, ampHours(o.Capacity), whose)}
	}
	return tailLimit{fraction: fraction, why: fmt.Sprintf("tail of %.3g %% of the charge so far, which stands for the capacity that nobody stated; %s", fraction*100, whose)}
}

func ampHours(coulombs float64) float64 { return coulombs / secondsPerHour }

// tailBlock is how many rows must be averaged so that noise cannot feign a tail.
func tailBlock(limit float64, amps *meter) float64 {
	r := 3 * amps.noise() / (0.15 * limit)
	return min(max(2, math.Ceil(r*r)), 64)
}

// reachedTail says when the current, averaged over blocks of rows, first went
// below the limit for good, looking from bin index cv to bin index end, s. It
// looks at the end first, since the answer is mostly no.
func reachedTail(tr *trace, cv, end int, limit *tailLimit, from totals, amps *meter) (at float64, ok bool) {
	if end-cv < 2 {
		return 0, false
	}
	last := limit.at(tr.end.sum.in - from.in)
	block := tailBlock(last, amps)
	k := tr.tailEnd(end, block, 0)
	if _, i, _ := tr.mean(k, end); k < cv || i > last {
		return 0, false
	}
	// Below at the end. Now forward, to the first time that it was and stayed so
	// for a while: a charger's pause ends in a moment of little current, too.
	below, began := 0.0, -1
	for k := cv; k < end; {
		e, rows := k, 0.0
		for e < end && rows < block {
			rows += tr.bins[e].rows
			e++
		}
		_, i, _ := tr.mean(k, e)
		switch {
		case i > limit.at(tr.bins[k].at.in-from.in):
			began = -1
		case began < 0:
			began, below = k, rows
		default:
			below += rows
		}
		if began >= 0 && below >= 2*block && tr.bins[e-1].t1-tr.bins[began].t0 >= tailSeconds {
			return crossing(tr, cv, began, limit.at(tr.bins[began].at.in-from.in)), true
		}
		k = e
	}
	if began >= 0 {
		return crossing(tr, cv, began, limit.at(tr.bins[began].at.in-from.in)), true
	}
	return 0, false
}

// ranOut says when a taper that ended between two rows came to the limit, if it did so by the
// time that a row more would have come: LiFePO4 is full at its limit, and there the current
// falls by a third from row to row. It goes on as it fell before, exponentially.
func ranOut(tr *trace, cv, end int, limit *tailLimit, from totals, amps *meter) (at float64, ok bool) {
	if end-2 < cv {
		return 0, false
	}
	a, b := &tr.bins[end-2], &tr.bins[end-1]
	if sure := 3 * amps.noise() * math.Sqrt(1/a.rows+1/b.rows); a.i()-b.i() < max(sure, amps.step()) {
		return 0, false
	}
	pace := math.Log(a.i()/b.i()) / (b.t() - a.t())
	at = b.t() + math.Log(b.i()/limit.at(tr.end.sum.in-from.in))/pace
	return at, at > a.t() && at <= b.t()+(b.t()-a.t())
}

// tailSeconds is how long the current must stay below the tail, s.
const tailSeconds = 120

// crossing reads off, between the block of bins at k and the one before it, when
// the current passed the limit.
func crossing(tr *trace, cv, k int, limit float64) float64 {
	b := &tr.bins[k]
	if k == cv {
		return b.t0
	}
	a := &tr.bins[k-1]
	if a.i() <= limit || a.i() <= b.i() {
		return b.t0
	}
	f := min((a.i()-limit)/(a.i()-b.i()), 1)
	return a.t() + f*(b.t()-a.t())
}
