package decoders

import "unicode/utf8"

// Typeset: text as programs for people write it. A spreadsheet or a page sets a blank
// that does not break before a unit and a true minus before a number, a table has
// lines drawn between its columns, a terminal is told of colours. Each is put as the
// plain sign that it stands for; nothing else changes.
//
//	14/03/2026;13,45 V;−0,50 A
//	│ 00:10:00 │ 13.45 │ 3.50 │
type typeset struct {
	inner Decoder
	line  []byte
}

// Decode passes the plain line on.
func (d *typeset) Decode(line []byte, r *Reading) error {
	if !isTypeset(line) {
		return d.inner.Decode(line, r)
	}
	d.line = plainSigns(d.line[:0], line)
	return d.inner.Decode(d.line, r)
}

// trace finds the values of a line in plain signs alone.
func (d *typeset) trace(line []byte, found []value) ([]value, bool) {
	inner, ok := d.inner.(traced)
	if !ok || isTypeset(line) {
		return nil, false
	}
	return inner.trace(line, found)
}

// plainSign is what a typeset sign stands for: -1 for nothing at all, 0 for itself.
func plainSign(c rune) rune {
	switch c {
	case 0xa0, 0x2007, 0x2009, 0x200a, 0x202f: // blanks
		return ' '
	case 0x2010, 0x2011, 0x2012, 0x2013, 0x2014, 0x2212: // hyphens, dashes, minus
		return '-'
	case 0x2502, 0x2503, 0x2551: // drawn lines
		return '|'
	case 0x201c, 0x201d:
		return '"'
	case 0x200b, 0x200e, 0x200f, 0x202a, 0x202c, 0x2060, 0xfeff: // of no width
		return -1
	}
	return 0
}

// isTypeset tells whether a line has such a sign.
func isTypeset(line []byte) bool {
	for i := 0; i < len(line); {
		if line[i] < utf8.RuneSelf {
			if line[i] == '\x1b' {
				return true
			}
			i++
			continue
		}
		c, n := utf8.DecodeRune(line[i:])
		if plainSign(c) != 0 || n == 1 && line[i] == 0xa0 {
			return true
		}
		i += n
	}
	return false
}

// plainSigns writes the line in plain signs behind out.
func plainSigns(out, line []byte) []byte {
	for i := 0; i < len(line); {
		if line[i] == '\x1b' {
			n, colour := escape(line[i:])
			if !colour { // the place on the screen changes
				out = append(out, ' ')
			}
			i += n
			continue
		}
		c, n := utf8.DecodeRune(line[i:])
		switch plain := plainSign(c); {
		case n == 1 && line[i] == 0xa0: // the blank in Latin-1
			out = append(out, ' ')
		case plain > 0:
			out = append(out, byte(plain))
		case plain == 0:
			out = append(out, line[i:i+n]...)
		}
		i += n
	}
	return out
}

// escape is the length of the sequence that b begins with, and whether it changes but
// the colour (ECMA-48, 5.4: parameters and intermediates, then a final byte).
func escape(b []byte) (n int, colour bool) {
	if len(b) < 2 || b[1] != '[' {
		return min(len(b), 2), false
	}
	for n = 2; n < len(b); n++ {
		if b[n] >= 0x40 {
			return n + 1, b[n] == 'm'
		}
	}
	return n, false
}

// plainLines puts the lines of a sample in plain signs; false where rows have no other.
func plainLines(lines [][]byte) ([][]byte, bool) {
	rows := 0
	for _, l := range lines {
		if isTypeset(l) && MayBeRow(l) {
			rows++
		}
	}
	if rows < 2 {
		return lines, false
	}
	out := make([][]byte, len(lines))
	for i, l := range lines {
		if out[i] = l; isTypeset(l) {
			out[i] = plainSigns(nil, l)
		}
	}
	return out, true
}
