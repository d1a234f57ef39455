package decoders

import (
	"bytes"
	"slices"
)

// Thousands: digits in groups of three.
//
//	12.100;3.500     mV and mA, where the point groups
//	"12,100","3,500"
//	12'100	3 500
//
// A point or comma may as well be the decimal mark. What tells them apart: a number
// with two groups; a column that has small numbers without the mark beside large ones
// with it, since a decimal mark is written there too; and a stated unit, in which one
// of both is no battery's.
var groupings = []grouping{
	{"point", []string{"."}},
	{"comma", []string{","}},
	{"apostrophe", []string{"'", "\u2019"}},
	{"blank", []string{" ", "\u00a0", "\u202f", "\u2009", "\xa0"}}, // the last is Latin-1's
}

// grouping is what may stand between the groups.
type grouping struct {
	name  string
	marks []string
}

func groupingNamed(name string) *grouping {
	for i := range groupings {
		if groupings[i].name == name {
			return &groupings[i]
		}
	}
	return nil
}

// decimal tells that the mark may be a decimal mark too.
func (g *grouping) decimal() bool { return g.name == "point" || g.name == "comma" }

// mark is the length of the mark that b begins with, 0 for none.
func (g *grouping) mark(b []byte) int {
	for _, m := range g.marks {
		if len(b) >= len(m) && string(b[:len(m)]) == m {
			return len(m)
		}
	}
	return 0
}

// occurs tells whether any line has one of the marks before three digits.
func (g *grouping) occurs(lines [][]byte) bool {
	for _, m := range g.marks {
		mark := []byte(m)
		if slices.ContainsFunc(lines, func(line []byte) bool { return beforeThree(mark, line) }) {
			return true
		}
	}
	return false
}

func beforeThree(mark, line []byte) bool {
	for found := true; found; {
		if _, line, found = bytes.Cut(line, mark); found {
			if _, n := digits(line); n == 3 {
				return true
			}
		}
	}
	return false
}

// groups reads digits in groups of three: how many bytes, and how many groups behind
// the first. b begins with a digit; no first group begins with a zero.
func (g *grouping) groups(b []byte) (n, groups int) {
	_, n = digits(b)
	if n > 3 || b[0] == '0' {
		return n, 0
	}
	for {
		m := g.mark(b[n:])
		if m == 0 {
			return n, groups
		}
		if _, k := digits(b[n+m:]); k != 3 {
			return n, groups
		}
		n += m + 3
		groups++
	}
}

// ungroup writes the line without the marks between groups behind out.
func (g *grouping) ungroup(out, line []byte) []byte {
	for i := 0; i < len(line); {
		if line[i]-'0' > 9 {
			out = append(out, line[i])
			i++
			continue
		}
		n, groups := 0, 0
		if i == 0 || !partOfNumber(line[i-1]) {
			if n = timeLength(line[i:]); n == 0 {
				n, groups = g.groups(line[i:])
			}
		}
		if n == 0 {
			n = 1
		}
		for k := i; k < i+n; k++ {
			if groups == 0 || line[k]-'0' <= 9 {
				out = append(out, line[k])
			}
		}
		i += n
	}
	return out
}

// partOfNumber tells that a digit behind c begins no number.
func partOfNumber(c byte) bool {
	return c-'0' <= 9 || c == '.' || c == ':' || lower(c)-'a' < 26 || c == '_'
}

// grouped is a decoder behind the marks between groups.
type grouped struct {
	inner Decoder
	by    *grouping
	line  []byte
}

// Decode passes the line on without them.
func (d *grouped) Decode(line []byte, r *Reading) error {
	d.line = d.by.ungroup(d.line[:0], line)
	return d.inner.Decode(d.line, r)
}
