package decoders

import (
	"math"

	"amphora/analyze"
)

// Block decodes the lines that a block of text begins with, as many as are rows
// without a fault and as out has room for, and returns their samples behind those
// of out, and the text that is left. It says what Line would say of each of these
// lines without a time of arrival, and leaves to it the first line that needs more
// thought: a remark, a blank, a value beyond belief, a line whose end has not come
// yet.
func (s *Stream) Block(block []byte, out []analyze.Sample) ([]analyze.Sample, []byte) {
	if s.stencils == nil || s.former != nil || s.unproven > 0 {
		return out, block
	}
	r := &s.reading
	room := out[len(out):cap(out)]
	n, i := 0, 0
	for n < len(room) {
		next, sound := s.stencils.last.read(block, i, r), s.stencils.last.sound
		if next < 0 {
			if next, sound = s.stencils.other(block, i, r); next < 0 {
				break
			}
		}
		if !sound && (s.complete(r) != nil || !s.tellsTime(r)) {
			break
		}
		i = next
		p := &room[n]
		n++
		s.line++
		s.rows++
		p.At, p.Volts, p.Amps, p.Celsius, p.Counter = r[Time], r[Volts], r[Amps], r[Celsius], r[Counter]
		p.Wall, p.Line, p.Skew = 0, s.line, 0
		if !s.plain {
			s.time(p, r, math.NaN())
		}
		s.at = p.At
	}
	return out[:len(out)+n], block[i:]
}

// plain tells that a layout's rows tell time, voltage and current themselves and
// have no dates: nothing is derived then.
func (l *Layout) plain() bool {
	return l.Has(Time) && l.Has(Volts) && l.Has(Amps) && !l.Has(Stamp) && !l.Has(Date) && !l.Has(Clock)
}

// sound tells that complete and tellsTime have nothing to say about a reading, nor to
// change in it.
func (s *Stream) sound(r *Reading) bool {
	before := *r
	if math.Abs(r[Volts]) >= s.voids[0].from || math.Abs(r[Amps]) >= s.voids[1].from {
		return false
	}
	return s.complete(r) == nil && s.tellsTime(r) && same(&before, r)
}

// tellsTime tells whether a row has the time that the log should tell.
func (s *Stream) tellsTime(r *Reading) bool {
	return !s.layout.Timed() || known(r[Time]) || known(r[Stamp]) || known(r[Clock]) && (known(r[Date]) || !s.layout.Has(Date))
}
