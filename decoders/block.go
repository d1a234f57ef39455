package decoders

import (
	"math"

	"amphora/analyze"
)

// Block decodes the rows that a block of text begins with, as many as are plain
// and as out has room for, and returns their samples behind those of out, and the
// text that is left. It says what Line would say of each of these lines without a
// time of arrival, and leaves to it the first line that needs more thought: a
// blank cell, a quote, a remark, a value beyond belief, a line whose end has not
// come yet.
func (s *Stream) Block(block []byte, out []analyze.Sample) ([]analyze.Sample, []byte) {
	d := s.plain
	if d == nil {
		return out, block
	}
	r := &s.reading
	*r = blank
	room := out[len(out):cap(out)]
	n, i := 0, 0
	for n < len(room) {
		next := d.last.read(block, i, r)
		if next < 0 {
			if next = d.row(block, i, r); next < 0 {
				break
			}
		}
		if !believed(r) && s.complete(r) != nil {
			break
		}
		i = next
		p := &room[n]
		n++
		p.At, p.Volts, p.Amps, p.Celsius, p.Counter = r[Time], r[Volts], r[Amps], r[Celsius], r[Counter]
		p.Wall, p.Line, p.Skew = 0, s.line+n, 0
	}
	if n > 0 {
		s.at = room[n-1].At
	}
	s.line += n
	s.rows += n
	return out[:len(out)+n], block[i:]
}

// plainRows gives the decoder whose rows Block can take: a time, a voltage and a
// current in each, and nothing to join, to derive or to verify.
func plainRows(l *Layout, d Decoder) *columns {
	c, ok := d.(*columns)
	if !ok || c.plan == nil || l.Pair || !l.Has(Time) || !l.Has(Volts) || !l.Has(Amps) {
		return nil
	}
	return c
}

// row reads the plain row at i, which the last stencil does not fit: through the one
// before, as where a current of nothing goes from one sign to the other and back,
// or by quick, cutting a new one for the rows that follow. It returns where the
// next row begins, -1 for a row that is not plain.
func (d *columns) row(b []byte, i int, r *Reading) int {
	d.last, d.before = d.before, d.last
	if next := d.last.read(b, i, r); next >= 0 {
		return next
	}
	end := d.quick(b, i, r)
	if end < 0 {
		return -1
	}
	next := lineAfter(b, end)
	if next >= 0 && d.worthwhile() {
		d.last.cut(b[i:next], d.layout.Separator, d.plan)
	}
	return next
}

// worthwhile tells whether to cut another stencil. Where no two rows look alike,
// as in a log that leaves out zeros at the end of its numbers, they cost more than
// they save, so it is tried now and then only.
func (d *columns) worthwhile() bool {
	const least, patience, pause = 16, 8, 400 // rows one should have fitted; stencils; rows
	if d.rest > 0 {
		d.rest--
		return false
	}
	if d.last.used >= least {
		d.wasted = 0
	} else if d.wasted++; d.wasted == patience {
		d.wasted, d.rest = 0, pause
		d.last.size, d.before.size = 0, 0
		return false
	}
	return true
}

// lineAfter is where the line after the end of line at end begins; -1 where the
// block ends before that is known.
func lineAfter(b []byte, end int) int {
	switch {
	case end == len(b):
		return -1
	case b[end] == '\n':
		return end + 1
	case end+1 == len(b):
		return -1 // a line feed may follow
	case b[end+1] == '\n':
		return end + 2
	}
	return end + 1
}

// believed tells that complete has nothing to say about a row with a voltage and
// a current.
func believed(r *Reading) bool {
	return math.Abs(r[Volts]) <= mostVolts && math.Abs(r[Amps]) <= mostAmps && r[Celsius] >= coldest && r[Celsius] <= hottest
}
