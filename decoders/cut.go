package decoders

import (
	"bytes"
	"math"
)

// traced is a decoder that can tell where in a line its values stand. It tells
// of each of them, f being nil for one that nobody wants; each digit of a value
// could be any other, and the decoder would read the line alike. It returns
// false for a line of which that cannot be said.
type traced interface {
	Decoder
	trace(line []byte, tell func(f *Field, value []byte)) bool
}

// cut makes the stencil of the line, of size bytes with its end, that text begins
// with and that the decoder has read as r. It stays empty where one of the values
// is no plain number.
func (s *stencil) cut(text []byte, line, size int, d traced, decimal byte, r *Reading) {
	s.size, s.used, s.face, s.holes = 0, 0, s.face[:0], s.holes[:0]
	if len(text) < reach || size > reach-8 {
		return
	}
	var free [reach]bool // the digits that may be others
	plain := true
	alike := d.trace(text[:line], func(f *Field, value []byte) {
		at := within(text, value)
		for k, c := range value {
			free[at+k] = free[at+k] || c-'0' <= 9
		}
		if f != nil {
			plain = s.hole(f, value, at, decimal) && plain
		}
	})
	if !plain || !alike {
		return
	}
	for at := 0; at < size; at += 8 {
		s.face = append(s.face, cutPane(text[at:min(at+8, size)], free[at:], at))
	}
	s.size = size
	if again := blank; s.read(text, 0, &again) < 0 || !same(&again, r) {
		s.size = 0
	}
}

// within is where a part of a text begins in it.
func within(text, part []byte) int { return cap(text) - cap(part) }

func same(a, b *Reading) bool {
	for q := range a {
		if math.Float64bits(a[q]) != math.Float64bits(b[q]) && (known(a[q]) || known(b[q])) {
			return false
		}
	}
	return true
}

func cutPane(text []byte, free []bool, at int) pane {
	p := pane{at: at}
	for k, c := range text {
		bit := 8 * uint(k)
		if free[k] {
			p.text |= '0' << bit
			p.six |= 6 << bit
			p.must |= 0xf0 << bit
		} else {
			p.text |= uint64(c) << bit
			p.must |= 0xff << bit
		}
	}
	return p
}

// hole adds the hole for a value that stands at a place of the line, none for a
// blank; false where it is no plain number of as many digits as a float64 holds
// exactly.
func (s *stencil) hole(f *Field, value []byte, at int, decimal byte) bool {
	if x, err := f.value(value, decimal); err != nil || x != x {
		return err == nil
	}
	if f.unit == nil {
		return false
	}
	cell := trim(value)
	at += within(value, cell)
	_, length := number(cell, decimal)
	u := f.unit
	if rest := bytes.TrimLeft(cell[length:], " "); len(rest) > 0 {
		u = unitNamed(rest, f.Quantity)
	}
	digits, negative := cell[:length], false
	if digits[0] == '-' || digits[0] == '+' {
		negative = digits[0] == '-'
		digits, at = digits[1:], at+1
	}
	n, places, ok := plainDigits(digits, decimal)
	if !ok || n > exactDigits || f.Negate && u.zero != 0 {
		return false
	}
	h := hole{to: f.Quantity, scale: pow10[places]}
	if negative != f.Negate {
		h.scale = -h.scale
	}
	if u.mul != 1 || u.div != 1 || u.zero != 0 {
		h.unit = u
	}
	split := max(len(digits)-8, 0)
	h.back = cutDigits(digits[split:], at+split)
	if split > 0 {
		h.front = cutDigits(digits[:split], at)
		back, _, _ := plainDigits(digits[split:], decimal)
		h.mul = powers[back]
	}
	s.holes = append(s.holes, h)
	return true
}

// plainDigits counts digits, and those after the decimal mark; false where there
// is anything else.
func plainDigits(text []byte, decimal byte) (n, places int, ok bool) {
	point := -1
	for k, c := range text {
		switch {
		case c-'0' <= 9:
			n++
		case c == decimal && point < 0:
			point = k
		default:
			return 0, 0, false
		}
	}
	if point >= 0 {
		places = len(text) - 1 - point
	}
	return n, places, true
}

// cutDigits makes the pane over at most eight digits and their point.
func cutDigits(text []byte, at int) digitPane {
	p := digitPane{at: at, shift: 1 << (8 * (8 - uint(len(text))))}
	var weights [4]uint64 // of the pairs
	weight := uint64(1)
	for k := len(text) - 1; k >= 0; k-- {
		p.text |= uint64('0') << (8 * uint(k))
		moved := 8 - len(text) + k // where shift moves it
		if text[k]-'0' > 9 {
			p.text ^= uint64('0'^text[k]) << (8 * uint(k))
			continue
		}
		switch {
		case moved%2 == 1:
			weights[moved/2] = weight
		case weights[moved/2] == 0: // a point is the other of its pair
			weights[moved/2] = weight / 10
		}
		weight *= 10
	}
	p.even = weights[2] | weights[0]<<32
	p.odd = weights[3] | weights[1]<<32
	return p
}
