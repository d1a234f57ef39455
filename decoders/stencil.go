package decoders

import "encoding/binary"

// The lines of a log look alike: for hours each has the same digits at the same
// places, and only their values differ. A stencil is cut from one line and laid
// over the next: where all that is no digit is the same, byte for byte, the
// numbers are read through its holes, eight bytes at a time, without looking
// for where they begin or end. So no step waits for the one before, and that is
// what looking for the end of a number costs most.
//
// A stencil is only ever cut from a line that the decoder has read, and only where
// the decoder would read the line alike whatever those digits are. So it accepts
// nothing that the decoder does not, and gives the same values.
type stencil struct {
	size    int  // of the line with its end; 0: none was cut yet
	used    int  // lines read
	sound   bool // whatever its digits are, there is nothing to say about a row of it
	face    []pane
	holes   []hole
	moments []moment
}

// reach is how many bytes from the beginning of a line a stencil can look at: the
// longest line, and a pane that begins in it.
const reach = 256 + 8

// pane is a look at eight bytes: which must be digits and what the others must be.
type pane struct {
	at   int    // where it begins in the line
	text uint64 // '0' for any digit
	room uint64 // 15 less the highest that each digit may be: with it, none exceeds 15
	must uint64 // the bits that must be zero then: the upper four of a digit, else all
}

// hole shows one number: its digits from the first to the last, the point among
// them.
type hole struct {
	to    Quantity
	unit  *unit     // nil for the SI unit
	scale float64   // the number without its point by this, which has the sign too
	back  digitPane // the last digits
	front digitPane // those before
	mul   uint64    // what front counts; 0 where back shows all
}

// moment shows the clock of a stamp whose date is part of the stencil.
type moment struct {
	to      Quantity
	date    float64 // s since 1970; 0 for a clock alone
	east    float64 // s, of its zone
	seconds digitPane
	parts   digitPane // of a second
	scale   float64   // of parts; 0 for none
}

// digitPane reads the digits of a pane.
type digitPane struct {
	at    int
	text  uint64 // taken out, 0 to 9 is left of a digit, nothing of a point
	shift uint64 // moves the last digit to the top, and what follows it out
	even  uint64 // weights of the pairs of digits that begin at bytes 0 and 4,
	odd   uint64 // and at 2 and 6
}

// read lays the stencil over the line that begins at i. It returns where the next
// line begins; -1, leaving r as it is, if this one does not look like that.
func (s *stencil) read(b []byte, i int, r *Reading) int {
	if len(b)-i < reach || s.size == 0 {
		return -1
	}
	line := (*[reach]byte)(b[i:])
	var wrong uint64
	for k := range s.face {
		p := &s.face[k]
		seen := eight(line, p.at) ^ p.text
		wrong |= (seen | (seen + p.room)) & p.must
	}
	if wrong != 0 {
		return -1
	}
	*r = blank
	holes := s.holes
	for k := range holes {
		h := &holes[k]
		m := h.back.value(line)
		if h.mul != 0 {
			m += h.front.value(line) * h.mul
		}
		x := float64(int64(m)) / h.scale
		if h.unit != nil {
			x = h.unit.si(x)
		}
		r[h.to] = x
	}
	for k := range s.moments {
		m := &s.moments[k]
		clock := float64(int64(m.seconds.value(line)))
		if m.scale != 0 {
			clock += float64(int64(m.parts.value(line))) / m.scale
		}
		r[m.to] = m.date + clock - m.east
	}
	s.used++
	return i + s.size
}

// extreme reads a line with each digit at its least or at its most.
func (s *stencil) extreme(most bool, r *Reading) {
	var line [reach]byte
	for k := range s.face {
		p := &s.face[k]
		text := p.text
		if most {
			text += each*0x0f&^p.must - p.room
		}
		binary.LittleEndian.PutUint64(line[p.at:], text)
	}
	s.read(line[:], 0, r)
	s.used = 0 // it was no line of the log
}

// eight are the bytes from at on, the first one lowest.
func eight(line *[reach]byte, at int) uint64 {
	at &= reach - 9 // which it is anyway: so no check is needed
	return binary.LittleEndian.Uint64(line[at : at+8])
}

// value is the number of the digits, as in valueOf, but that a point may stand
// between them: it counts nothing, and the pair that it is in has its weight
// accordingly.
func (p *digitPane) value(line *[reach]byte) uint64 {
	const pairs = 0x000000ff000000ff
	w := (eight(line, p.at) ^ p.text) * p.shift
	w = w*10 + w>>8
	return ((w&pairs)*p.even + (w>>16&pairs)*p.odd) >> 32
}
