package analyze

import (
	"iter"
	"sort"
)

// block is the mean of some neighbouring bins.
type block struct {
	t0, t1, v, i, rows, celsius float64
}

// blockOf averages bins [from, to).
func (tr *trace) blockOf(from, to int) block {
	v, i, rows := tr.mean(from, to)
	return block{t0: tr.bins[from].t0, t1: tr.bins[to-1].t1, v: v, i: i, rows: rows, celsius: tr.bins[to-1].celsius}
}

// ending is the block that ends with bin to and lasts at least so long, never
// reaching back beyond bin from.
func (tr *trace) ending(from, to int, rows, seconds float64) block {
	return tr.blockOf(max(tr.tailEnd(to, rows, seconds), from), to)
}

// backwards are the blocks that go back from bin to until bin from, each of so many rows and seconds at
// least, with the first bin of each.
func (tr *trace) backwards(from, to int, rows, seconds float64) iter.Seq2[int, block] {
	return func(yield func(first int, b block) bool) {
		for end := to; end > from; {
			first := max(tr.tailEnd(end, rows, seconds), from)
			if !yield(first, tr.blockOf(first, end)) {
				return
			}
			end = first
		}
	}
}

// indexIn is the bin in which the sum of charge passed in, C.
func (tr *trace) indexIn(in float64) int {
	return max(sort.Search(len(tr.bins), func(k int) bool { return tr.bins[k].at.in > in })-1, 0)
}
