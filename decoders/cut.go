package decoders

import "math"

// traced is a decoder that can tell where in a line its values stand.
type traced interface {
	Decoder
	// trace adds the values of a line that was decoded to found, in the order in
	// which they are put into the reading. Each of their digits could be any
	// other, and the decoder would find the values in the same places; ok is
	// false for a line of which that cannot be said.
	trace(line []byte, found []value) (values []value, ok bool)
}

// value is one of a line's: a part of the line, and what it is wanted for; nil if
// for nothing.
type value struct {
	field *Field
	text  []byte
}

// cut makes the stencil of the line, of size bytes with its end, that text begins
// with and that was decoded as r. It stays empty where one of the values is no
// plain number or time.
func (s *stencil) cut(text []byte, size int, values []value, decimal byte, r *Reading) {
	*s = stencil{face: s.face[:0], holes: s.holes[:0], moments: s.moments[:0]}
	if len(text) < reach || size > reach-8 {
		return
	}
	var highest [reach]byte // that a digit may be; 0 for what must be as it is
	for _, v := range values {
		at := within(text, v.text)
		for k, c := range v.text {
			if c-'0' <= 9 {
				highest[at+k] = 9
			}
		}
	}
	var wanted [quantities]bool
	for _, v := range values {
		if v.field == nil {
			continue
		}
		if wanted[v.field.Quantity] || !s.open(v, text, highest[:], decimal) {
			return
		}
		wanted[v.field.Quantity] = true
	}
	for at := 0; at < size; at += 8 {
		s.face = append(s.face, cutPane(text[at:min(at+8, size)], highest[at:], at))
	}
	s.size = size
	if again := blank; s.read(text, 0, &again) < 0 || !same(&again, r) {
		s.size = 0
	}
	s.used = 0
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

func cutPane(text, highest []byte, at int) pane {
	p := pane{at: at}
	for k, c := range text {
		bit := 8 * uint(k)
		if highest[k] == 0 {
			p.text |= uint64(c) << bit
			p.must |= 0xff << bit
			continue
		}
		p.text |= '0' << bit
		p.room |= uint64(15-highest[k]) << bit
		p.must |= 0xf0 << bit
	}
	return p
}

// open makes the hole for a wanted value, none for a blank one; false where its
// text is neither a plain number nor a time.
func (s *stencil) open(v value, text, highest []byte, decimal byte) bool {
	if x, err := v.field.value(v.text, decimal); err != nil || x != x {
		return err == nil
	}
	cell := trim(v.text)
	at := within(text, cell)
	if m, ok := v.field.moment(cell, at, highest[at:]); ok {
		s.moments = append(s.moments, m)
		return true
	}
	h, ok := v.field.hole(cell, at, decimal)
	s.holes = append(s.holes, h)
	return ok
}

// hole is the hole for a cell that stands at a place of the line; false where it
// is no number, or has more digits than a float64 holds exactly.
func (f *Field) hole(cell []byte, at int, decimal byte) (hole, bool) {
	_, length := number(cell, decimal)
	u := f.unit
	if u == nil {
		u = countUnits[f.Form]
	} else if rest := behind(cell[length:]); len(rest) > 0 {
		u = unitNamed(rest, f.Quantity)
	}
	if length == 0 || u == nil || f.Negate && u.zero != 0 {
		return hole{}, false
	}
	digits, negative := cell[:length], f.Negate
	if c := digits[0]; c == '-' || c == '+' {
		digits, at = digits[1:], at+1
		negative = negative != (c == '-')
	}
	n, places, ok := plainDigits(digits, decimal)
	if !ok || n > exactDigits {
		return hole{}, false
	}
	h := hole{to: f.Quantity, scale: pow10[places]}
	if negative {
		h.scale = -h.scale
	}
	if u.mul != 1 || u.div != 1 || u.zero != 0 {
		h.unit = u
	}
	split := max(len(digits)-8, 0)
	h.back = cutDigits(digits[split:], at+split, 1)
	if split > 0 {
		h.front = cutDigits(digits[:split], at, 1)
		back, _, _ := plainDigits(digits[split:], decimal)
		h.mul = powers[back]
	}
	return h, true
}

// countUnits are the counts since 1970 or 1900 as units.
var countUnits = map[string]*unit{
	formUnix:   {of: Stamp, mul: 1, div: 1},
	formUnixMs: {of: Stamp, mul: 1, div: 1e3},
	formUnixUs: {of: Stamp, mul: 1, div: 1e6},
	formUnixNs: {of: Stamp, mul: 1, div: 1e9},
	formSerial: {of: Stamp, mul: day, div: 1, zero: serialEpoch},
}

// plainDigits counts digits, and those after the decimal mark; false where there
// is anything else.
func plainDigits(text []byte, decimal byte) (n, places int, ok bool) {
	for k, c := range text {
		switch {
		case c-'0' <= 9:
			n++
		case c == decimal && places == 0 && n == k:
			places = len(text) - 1 - k
		default:
			return 0, 0, false
		}
	}
	return n, places, true
}

// cutDigits makes the pane over at most eight digits with the marks between them,
// the last digit counting base. A colon makes hours of minutes and minutes of
// seconds.
func cutDigits(text []byte, at int, base uint64) digitPane {
	for len(text) > 0 && text[len(text)-1]-'0' > 9 {
		text = text[:len(text)-1] // a point that ends it, which shift moves out
	}
	p := digitPane{at: at, shift: 1 << (8 * (8 - uint(len(text))))}
	var weights [4]uint64 // of the pairs
	weight := base
	for k := len(text) - 1; k >= 0; k-- {
		moved := 8 - len(text) + k // where shift moves it
		c := text[k]
		if c-'0' > 9 {
			p.text |= uint64(c) << (8 * uint(k))
			if c == ':' {
				base *= 60
				weight = base
			}
			continue
		}
		p.text |= '0' << (8 * uint(k))
		switch {
		case moved%2 == 1:
			weights[moved/2] = weight
		case weights[moved/2] == 0: // a mark is the other of its pair
			weights[moved/2] = weight / 10
		}
		weight *= 10
	}
	p.even = weights[2] | weights[0]<<32
	p.odd = weights[3] | weights[1]<<32
	return p
}
