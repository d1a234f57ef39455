package decoders

import (
	"bytes"
	"encoding/binary"
)

// The rows of a log look alike: for hours each has the same digits at the same
// places, and only their values differ. A stencil is cut from one row and laid
// over the next: where all that is no digit is the same, byte for byte, the
// numbers are read through its holes, eight bytes at a time, without looking
// for where they begin or end. So no step waits for the one before, and that is
// what looking for the end of a number costs most.
//
// A stencil is only ever cut from a row that quick has read, so it accepts
// nothing that quick does not, and gives the same values.
type stencil struct {
	size  int // of the row with its end; 0: none was cut yet
	used  int // rows read
	holes []hole
}

// reach is how many bytes from the beginning of a row a stencil can look at.
const reach = 136

// hole shows one number.
type hole struct {
	slot
	back  pane    // the last digits
	front pane    // the digits before those, where one pane is not enough
	mul   uint64  // what front counts in units of back; 0 for no front
	scale float64 // power of ten of the places after the point, negative for a negative number
}

// pane is a look at eight bytes, of which some are digits and the others known.
type pane struct {
	at    int    // where it begins in the row
	text  uint64 // what it must show, '0' for any digit
	six   uint64 // 6 for each digit: with it, only 0 to 9 stay below 16
	must  uint64 // the bits that must be zero in a digit, and in all else
	shift uint64 // moves the last digit to the top, and what follows it out
	even  uint64 // weights of the pairs of digits that begin at bytes 0 and 4,
	odd   uint64 // and at 2 and 6
}

// read lays the stencil over the row that begins at i. It returns where the next
// row begins; -1, having spoilt r, if the row does not look like that.
func (s *stencil) read(b []byte, i int, r *Reading) int {
	if len(b)-i < reach || s.size == 0 {
		return -1
	}
	row := (*[reach]byte)(b[i:])
	var wrong uint64
	for k := range s.holes {
		h := &s.holes[k]
		seen := h.back.look(row)
		wrong |= h.back.differs(seen)
		m := h.back.value(seen)
		if h.mul != 0 {
			seen = h.front.look(row)
			wrong |= h.front.differs(seen)
			m += h.front.value(seen) * h.mul
		}
		if uint(h.to) >= uint(len(r)) {
			continue
		}
		x := float64(int64(m)) / h.scale
		if h.unit != nil {
			x = h.unit.si(x)
		}
		r[h.to] = x
	}
	if wrong != 0 {
		return -1
	}
	s.used++
	return i + s.size
}

// look gives the eight bytes with what they must show taken out: 0 to 9 is left
// of a digit, nothing of the rest.
func (p *pane) look(row *[reach]byte) uint64 {
	at := p.at & (reach - 9) // which it is anyway: so no check is needed
	return binary.LittleEndian.Uint64(row[at:at+8]) ^ p.text
}

// differs is not zero where the bytes are not those of the stencil.
func (p *pane) differs(seen uint64) uint64 { return (seen | (seen + p.six)) & p.must }

// value is the number of the digits, as in valueOf, but that a byte which is no
// digit may stand between them: it counts nothing, and the pair that it is in
// has its weight accordingly.
func (p *pane) value(seen uint64) uint64 {
	const pairs = 0x000000ff000000ff
	seen *= p.shift
	seen = seen*10 + seen>>8
	return ((seen&pairs)*p.even + (seen>>16&pairs)*p.odd) >> 32
}

// cut makes the stencil of a row, given with its end, that quick has read.
func (s *stencil) cut(row []byte, sep byte, plan []slot) {
	s.size, s.used, s.holes = 0, 0, s.holes[:0]
	if len(row) > reach-8 {
		return
	}
	at := 0
	for c := range plan {
		end := len(row)
		if c < len(plan)-1 {
			end = at + bytes.IndexByte(row[at:], sep) + 1
		}
		h, ok := cutHole(row[at:end], at, plan[c])
		if !ok {
			return
		}
		s.holes = append(s.holes, h)
		at = end
	}
	s.size = len(row)
}

// cutHole makes the hole for a cell with what ends it; false where two panes do
// not cover it.
func cutHole(cell []byte, at int, to slot) (hole, bool) {
	const wide = 8
	h := hole{slot: to, scale: 1}
	if len(cell) > 2*wide {
		return h, false
	}
	places := 0
	if point := bytes.IndexByte(cell, '.'); point >= 0 {
		places = countDigits(cell[point:])
	}
	h.scale = pow10[places]
	if (cell[0] == '-') != (to.sign != 0) {
		h.scale = -h.scale
	}
	split := max(len(cell)-wide, 0)
	h.back = cutPane(cell[split:], at+split)
	if split > 0 {
		h.front = cutPane(cell[:split], at)
		h.mul = powers[countDigits(cell[split:])]
	}
	return h, true
}

func countDigits(text []byte) (n int) {
	for _, c := range text {
		if c-'0' <= 9 {
			n++
		}
	}
	return n
}

// cutPane makes the pane over at most eight bytes, from the last one on.
func cutPane(text []byte, at int) pane {
	p := pane{at: at}
	var weights [4]uint64 // of the pairs
	weight, top := uint64(1), -1
	for k := len(text) - 1; k >= 0; k-- {
		bit := 8 * uint(k)
		if text[k]-'0' > 9 {
			p.text |= uint64(text[k]) << bit
			p.must |= 0xff << bit
			continue
		}
		p.text |= '0' << bit
		p.six |= 6 << bit
		p.must |= 0xf0 << bit
		if top < 0 {
			top = k
			p.shift = 1 << (8 * (7 - uint(top)))
		}
		// The digit goes to byte 7-(top-k). The first of a pair counts ten times.
		switch moved := 7 - (top - k); {
		case moved%2 == 1:
			weights[moved/2] = weight
		case weights[moved/2] == 0:
			weights[moved/2] = weight / 10
		}
		weight *= 10
	}
	p.even = weights[2] | weights[0]<<32
	p.odd = weights[3] | weights[1]<<32
	return p
}
