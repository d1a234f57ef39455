package analyze

import "math"

// Where a voltage began to stand. A load that comes on beside a battery takes its current away:
// the voltage falls by what that dropped within the battery, and stands. A cell that fails takes the
// rise away, and leaves a bend. A straight line from before to now lies below either, most of all
// where it began. Where nothing lies above it by more than noise and digits explain, the voltage has stood
// for as long as it lay on that line. Common practice, no source.

// stand is of a voltage that stands at full current.
type stand struct {
	at   float64 // s, when it began to
	fell bool    // then
}

// stoodSince is of a voltage that hardly differs from one block to another.
func (s *sight) stoodSince(then, now *block) stand {
	tr := &s.c.trace
	slope := max(now.v-then.v, 0) / (now.t1 - then.t1)
	line := func(t float64) float64 { return now.v + slope*(t-now.t1) }
	unsure := func(b *block) float64 { return 2*s.flatUnsure(b, now) + s.flatRounded() }
	first, at := tr.index(then.t0), s.c.begin.t
	for k, b := range tr.backwards(0, first, 4, flatBlock) {
		if b.v < line(b.t1)-unsure(&b) || math.Abs(b.i-now.i) > flatSteady*now.i {
			at = b.t1
			break
		}
		first = k
	}
	switch top := tr.highestOver(line, first, s.end); {
	case top.v > now.v+unsure(&top):
		return stand{at: top.t1, fell: true}
	case top.v > line(top.t1)+unsure(&top):
		return stand{at: top.t0}
	}
	return stand{at: at}
}

// highestOver is the block within bins [from, to) that lies the farthest above a line.
func (tr *trace) highestOver(line func(t float64) float64, from, to int) (top block) {
	over, sum, rows := math.Inf(-1), 0.0, 0.0
	first := from
	for k := from; k < to; k++ {
		b := &tr.bins[k]
		sum, rows = sum+b.sumV, rows+b.rows
		for first < k && b.t1-tr.bins[first+1].t0 >= flatBlock && rows-tr.bins[first].rows >= 4 {
			sum, rows = sum-tr.bins[first].sumV, rows-tr.bins[first].rows
			first++
		}
		if v := sum / rows; v-line(b.t1) > over && b.t1-tr.bins[first].t0 >= flatBlock {
			over, top = v-line(b.t1), block{t0: tr.bins[first].t0, t1: b.t1, v: v, rows: rows}
		}
	}
	return top
}
