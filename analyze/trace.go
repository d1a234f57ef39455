package analyze

import (
	"math"
	"sort"
)

// trace is the shape of one charge in bounded memory: means over bins of time,
// of those rows in which current flowed. When the bins are used up, each two
// neighbours become one, so a charge of any length keeps between half of them
// and all of them, and the boundary of a stage can be dated back by hours.
type trace struct {
	bins   []bin
	width  float64   // s
	end    mark      // the last row added
	top    float64   // V, the highest mean of a closed bin
	spread histogram // of what was last asked of the bins
}

const (
	traceBins     = 2048
	firstBinWidth = 1.0 // s
)

type bin struct {
	t0, t1  float64 // s, first and last row
	rows    float64
	sumT    float64 // of t - t0
	sumV    float64
	sumI    float64
	maxV    float64
	celsius float64 // the last one known, NaN if none
	before  float64 // rows of the bins before it
	at      totals  // what had flowed when the bin began
}

func (b *bin) t() float64 { return b.t0 + b.sumT/b.rows }
func (b *bin) v() float64 { return b.sumV / b.rows }
func (b *bin) i() float64 { return b.sumI / b.rows }

// add takes a row in which current flowed. It reports whether a bin was closed.
func (tr *trace) add(m *mark) (closed bool) {
	tr.end.set(m)
	if n := len(tr.bins); n > 0 && tr.bins[n-1].holds(m.t, tr.width) {
		tr.bins[n-1].add(&m.row)
		return false
	}
	return tr.open(&m.row, &m.sum)
}

// follow takes rows of a voltage above nothing, by each of which so much had flowed. It gives
// the highest voltage of the bins that they came into, V.
func (tr *trace) follow(rows []row, sums []totals) (highest float64) {
	for k := 0; ; k++ {
		b := &tr.bins[len(tr.bins)-1]
		k += b.follow(rows[k:], tr.closing())
		highest = larger(highest, b.maxV)
		if k == len(rows) {
			return highest
		}
		tr.open(&rows[k], &sums[k])
	}
}

// follow takes the rows that come before the bin is closed, and gives how many these are. The
// bits of numbers above nothing are in their order, and to choose one of those takes no guess.
func (b *bin) follow(rows []row, closing float64) (n int) {
	t0, sumT, sumV, sumI := b.t0, b.sumT, b.sumV, b.sumI
	highest := int64(math.Float64bits(b.maxV))
	for n < len(rows) && rows[n].t < closing {
		r := &rows[n]
		sumT += r.t - t0
		sumV += r.v
		sumI += r.i
		highest = max(highest, int64(math.Float64bits(r.v)))
		n++
	}
	if n > 0 {
		b.sumT, b.sumV, b.sumI, b.maxV = sumT, sumV, sumI, math.Float64frombits(uint64(highest))
		b.t1, b.rows, b.celsius = rows[n-1].t, b.rows+float64(n), rows[n-1].celsius
	}
	return n
}

// closing is when the bin under way will be closed, by the first row from then on, s.
func (tr *trace) closing() float64 { return tr.bins[len(tr.bins)-1].t0 + tr.width }

// holds reports whether a row at t is still the bin's own, where bins are so wide.
func (b *bin) holds(t, width float64) bool { return t < b.t0+width }

// open begins a bin with a row, by which so much has flowed. It reports whether there
// was one before, which is closed now.
func (tr *trace) open(r *row, sum *totals) (closed bool) {
	before := 0.0
	if n := len(tr.bins); n > 0 {
		last := &tr.bins[n-1]
		closed, before = true, last.before+last.rows
		tr.top = max(tr.top, last.v())
	}
	if len(tr.bins) == traceBins {
		tr.halve()
	}
	if tr.width == 0 {
		tr.width = firstBinWidth
	}
	tr.bins = append(tr.bins, bin{})
	b := &tr.bins[len(tr.bins)-1] // filled in where it stands, as a copy of so much takes its time
	b.t0, b.maxV, b.celsius, b.before = r.t, r.v, r.celsius, before
	b.at.set(sum)
	b.add(r)
	return closed
}

func (b *bin) add(r *row) {
	b.t1 = r.t
	b.rows++
	b.sumT += r.t - b.t0
	b.sumV += r.v
	b.sumI += r.i
	b.maxV = larger(b.maxV, r.v)
	if r.celsius == r.celsius {
		b.celsius = r.celsius
	}
}

func (tr *trace) halve() {
	tr.width *= 2
	last := &tr.bins[0]
	kept := 1
	for k := range tr.bins[1:] {
		b := &tr.bins[k+1]
		if b.t1 < last.t0+tr.width {
			last.merge(b)
			continue
		}
		last = &tr.bins[kept]
		*last = *b
		kept++
	}
	tr.bins = tr.bins[:kept]
	if kept > traceBins*3/4 { // rows rarer than the bins: nothing was won yet
		tr.halve()
	}
}

func (b *bin) merge(o *bin) {
	b.sumT += o.sumT + (o.t0-b.t0)*o.rows
	b.t1 = o.t1
	b.rows += o.rows
	b.sumV += o.sumV
	b.sumI += o.sumI
	b.maxV = max(b.maxV, o.maxV)
	if o.celsius == o.celsius {
		b.celsius = o.celsius
	}
}

// index is the bin that holds time t, or the last one that began before it. Bins
// follow each other at about the same pace, so that it is mostly found where a straight
// line says, or beside.
func (tr *trace) index(t float64) int {
	n := len(tr.bins)
	if t < tr.bins[0].t0 {
		return 0
	}
	if !(t < tr.bins[n-1].t0) {
		return n - 1
	}
	first, last := tr.bins[0].t0, tr.bins[n-1].t0
	k := min(int((t-first)/(last-first)*float64(n-1)), n-2)
	for range nearLine {
		if tr.bins[k].t0 > t {
			k--
		} else if tr.bins[k+1].t0 <= t {
			k++
		} else {
			return k
		}
	}
	return sort.Search(n, func(k int) bool { return tr.bins[k].t0 > t }) - 1
}

// nearLine is how many bins are looked at beside a straight line.
const nearLine = 6

// firstBinAfter is the first bin that lies wholly after t.
func firstBinAfter(tr *trace, t float64) int {
	k := tr.index(t)
	for k < len(tr.bins) && tr.bins[k].t0 < t {
		k++
	}
	return k
}

// next is when the first bin after time t began; t itself after the last, or if
// it is not known.
func (tr *trace) next(t float64) float64 {
	if k := tr.index(t) + 1; Known(t) && k < len(tr.bins) {
		return tr.bins[k].t0
	}
	return t
}

// sumAt is what had flowed by time t, read off between two bins' beginnings.
func (tr *trace) sumAt(t float64) totals {
	if len(tr.bins) == 0 || t >= tr.end.t {
		return tr.end.sum
	}
	k := tr.index(t)
	b := &tr.bins[k]
	next, nextT := tr.end.sum, tr.end.t
	if k+1 < len(tr.bins) {
		next, nextT = tr.bins[k+1].at, tr.bins[k+1].t0
	}
	if t <= b.t0 {
		return b.at
	}
	f := (t - b.t0) / (nextT - b.t0)
	d := next.minus(b.at)
	return b.at.plus(totals{d.in * f, d.out * f, d.energy * f, d.given * f, d.onTime * f, d.variance * f})
}

// mean is the row-weighted mean of volts and amps over bins [from, to).
func (tr *trace) mean(from, to int) (v, i, rows float64) {
	for k := from; k < to; k++ {
		b := &tr.bins[k]
		v += b.sumV
		i += b.sumI
		rows += b.rows
	}
	if rows == 0 {
		return Unknown(), Unknown(), 0
	}
	return v / rows, i / rows, rows
}

// rows are those of bins [from, to), the last of which is followed by another.
func (tr *trace) rows(from, to int) float64 { return tr.bins[to].before - tr.bins[from].before }

// highest is the largest mean current of a bin, A.
func (tr *trace) highest() float64 {
	most := 0.0
	for k := range tr.bins {
		most = max(most, tr.bins[k].i())
	}
	return most
}

// tailEnd is the first bin of the shortest stretch at the end, before bin to,
// that holds at least so many rows and lasts at least so many seconds.
func (tr *trace) tailEnd(to int, rows, seconds float64) int {
	n, k := 0.0, to
	for k > 0 && n < rows {
		k--
		n += tr.bins[k].rows
	}
	if seconds > 0 && k > 0 {
		end := tr.bins[to-1].t1
		k = min(k, tr.index(end-seconds)+1) // or beside it, as differences are rounded
		for k > 0 && end-tr.bins[k].t0 < seconds {
			k--
		}
	}
	return k
}

// histogram is an empty one for so many bins, until the next is asked for.
func (tr *trace) histogram(bins int) *histogram {
	tr.spread.clear(bins)
	return &tr.spread
}

func (tr *trace) clone() trace {
	c := *tr
	c.bins, c.spread = append([]bin(nil), tr.bins...), histogram{}
	return c
}
