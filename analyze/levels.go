package analyze

import (
	"math"
	"slices"
)

// setCurrent is the current limit as seen before bin end, A: what most of the
// time flowed, or, where the current was not steady, what it was at its highest
// for a while.
func setCurrent(tr *trace, end int) float64 {
	end = max(end, 1)
	h := tr.histogram(end)
	for k := range end {
		b := &tr.bins[k]
		h.add(b.i(), max(b.t1-b.t0, 1e-3))
	}
	middle := h.quantile(0.5)
	if most := 1.05 * middle; h.most > most {
		if high := h.quantile(0.95); high > most {
			return high
		}
	}
	return middle
}

// setSeen is a set current and the bins it was read off: a charge is looked at again and again, and those in
// the past stay what they are.
type setSeen struct {
	end   int
	rows  float64 // in the last of them, which may still be open
	width float64 // s, of a bin
	amps  float64
}

// setCurrent is worked out but once for the same bins.
func (c *charge) setCurrent(end int) float64 {
	tr, k := &c.trace, &c.set
	if rows := tr.bins[max(end, 1)-1].rows; k.end != end || k.rows != rows || k.width != tr.width {
		*k = setSeen{end, rows, tr.width, setCurrent(tr, end)}
	}
	return k.amps
}

// heldVolts is the median voltage from bin cv to bin end, leaving out what is far
// from the level (a float, a pause).
func heldVolts(tr *trace, cv, end int, level float64) float64 {
	h := tr.histogram(max(end-cv, 0))
	for k := cv; k < end; k++ {
		b := &tr.bins[k]
		if math.Abs(b.v()-level) < floatDrop*level {
			h.add(b.v(), max(b.t1-b.t0, 1e-3))
		}
	}
	if h.empty() {
		return level
	}
	return h.quantile(0.5)
}

// tailCurrent is the mean current of the last half minute, or of the last row
// where rows are rarer, before it was cut off, A. Where it still fell by a tenth meanwhile,
// half the time must do.
func tailCurrent(tr *trace) float64 {
	n := tr.steady()
	if n == 0 {
		return Unknown()
	}
	from := tr.tailEnd(n, 1, 30)
	_, i, _ := tr.mean(from, n)
	for from+1 < n {
		middle := (from + n) / 2
		_, before, _ := tr.mean(from, middle)
		_, since, _ := tr.mean(middle, n)
		if since > 0.9*before {
			break
		}
		from, i = middle, since
	}
	return i
}

// between is the least and the most of bins [from, to) in something, but for the tenth
// of them that is lowest and the tenth that is highest, so that odd rows do not count.
func (tr *trace) between(from, to int, of func(*bin) float64) (low, high float64) {
	all := make([]float64, 0, to-from)
	for k := from; k < to; k++ {
		all = append(all, of(&tr.bins[k]))
	}
	slices.Sort(all)
	return all[len(all)/10], all[len(all)-1-len(all)/10]
}
