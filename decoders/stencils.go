package decoders

import "bytes"

// stencils are the last two that were cut, and what it takes to cut another.
type stencils struct {
	decoder traced
	decimal byte
	sound   func(*Reading) bool // see stencil
	last    *stencil
	before  *stencil
	wasted  int // how many in a row were hardly used
	rest    int // lines until another is cut
	values  []value
	trial   Reading // here, so that none is allocated
}

// newStencils gives nil where lines must be looked at one by one: where each takes
// part in a checksum, or in a pair with the next.
func newStencils(l *Layout, d Decoder, sound func(*Reading) bool) *stencils {
	t, ok := d.(traced)
	if !ok || l.Pair {
		return nil
	}
	return &stencils{decoder: t, decimal: l.Decimal, sound: sound, last: new(stencil), before: new(stencil)}
}

// other reads the line at i, which the last stencil does not fit: through the one
// before, as where a current of nothing goes from one sign to the other and back,
// or by the decoder, cutting a new one for the lines that follow. It returns where
// the next line begins, -1 where the decoder refuses this one or its end has not
// come; sound tells that there is nothing to say about the row.
func (s *stencils) other(b []byte, i int, r *Reading) (next int, sound bool) {
	s.last, s.before = s.before, s.last
	if next := s.last.read(b, i, r); next >= 0 {
		return next, s.last.sound
	}
	end, next := lineEnd(b, i)
	if next < 0 || s.decoder.Decode(b[i:end], r) != nil {
		return -1, false
	}
	if b[next-1] != '\n' || !s.worthwhile() { // behind CR alone LF may come, and a stencil would not see it
		return next, false
	}
	s.last.size = 0
	values, ok := s.decoder.trace(b[i:end], s.values[:0])
	if s.values = values[:0]; ok {
		s.last.cut(b[i:], next-i, values, s.decimal, r)
		s.last.sound = s.last.size > 0 && s.extreme(false) && s.extreme(true)
	}
	return next, false
}

// extreme tells whether the last stencil's row is sound with each digit at its least or at
// its most. Every quantity lies between the two, whatever the digits are.
func (s *stencils) extreme(most bool) bool {
	s.trial = blank
	s.last.extreme(most, &s.trial)
	return s.sound(&s.trial)
}

// worthwhile tells whether to cut another stencil. Where no two lines look alike,
// as in a log that leaves out zeros at the end of its numbers, they cost more than
// they save, so it is tried now and then only.
func (s *stencils) worthwhile() bool {
	const least, patience, pause = 16, 8, 400 // lines one should have fitted; stencils; lines
	if s.rest > 0 {
		s.rest--
		return false
	}
	if s.last.used >= least {
		s.wasted = 0
	} else if s.wasted++; s.wasted == patience {
		s.wasted, s.rest = 0, pause
		s.last.size, s.before.size = 0, 0
		return false
	}
	return true
}

// lineEnd is where the line that begins at i ends and where the next one begins, -1
// where the block ends before that is known, or where the line is longer than a
// stencil reaches.
func lineEnd(b []byte, i int) (end, next int) {
	near := b[i:min(i+reach, len(b))]
	length := bytes.IndexByte(near, '\n')
	if length < 0 {
		length = len(near)
	}
	if cr := bytes.IndexByte(near[:length], '\r'); cr >= 0 {
		length = cr
	}
	switch end = i + length; {
	case length == len(near):
		return end, -1
	case b[end] == '\n':
		return end, end + 1
	case end+1 == len(b):
		return end, -1 // a line feed may follow
	case b[end+1] == '\n':
		return end, end + 2
	}
	return end, end + 1
}
