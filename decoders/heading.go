package decoders

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// A log may have its heading again further down, with other units, in another order or
// with more columns: two logs put behind each other, or a meter that was set otherwise.
// The rows are read as the heading above them says.
//
//	Time,Voltage (V),Current (A)
//	0,12.61,0.450
//	Time,Current (mA),Voltage (V)
//	10,451,12.61

// ErrHeading refuses rows below a heading that has no such columns.
var ErrHeading = &Refusal{"below a heading of another table", true}

// headings are those that a stream has seen.
type headings struct {
	names []string // of the columns as they are read, nil as long as there was none
	above []string // the last line of names
	at    int      // its number
	first bool     // it is the first heading, which the layout was made for
}

// headed looks whether a line that is no row is a heading, and reads on as it says.
func (s *Stream) headed(line []byte) {
	h := &s.headings
	names := headingOf(s.layout.behindTime(line), s.layout.Separator)
	if names == nil {
		return
	}
	if s.layout.Before {
		names = append([]string{""}, names...)
	}
	full := names
	below := h.at == s.line-1 && len(h.above) == len(names)
	if below {
		full = under(h.above, names)
	}
	h.first = h.names == nil || below && h.first
	h.above, h.at = names, s.line
	if s.rows > 0 {
		s.unproven = provenBy
	}
	if h.first {
		h.names = full
		return
	}
	l, ok := s.layout.under(h.names, full)
	switch {
	case !ok && s.elsewhere():
	case !ok:
		s.keepFormer(full)
		s.decoder, s.stencils = &elsewhere{s.decoder}, nil
	case l != nil || s.elsewhere():
		s.keepFormer(full)
		if l == nil {
			l = s.layout
		} else {
			h.names = full
		}
		_ = s.follow(entryNamed(l.Kind), l) // the fields are those it had
	}
}

// elsewhere tells that the rows are those of another table.
func (s *Stream) elsewhere() bool {
	_, is := s.decoder.(*elsewhere)
	return is
}

// elsewhere refuses what its decoder would have taken for rows.
type elsewhere struct{ inner Decoder }

func (d *elsewhere) Decode(line []byte, r *Reading) error {
	err := d.inner.Decode(line, r)
	if err == nil || err.(*Refusal).Row() {
		return ErrHeading
	}
	return err
}

// under is the layout below a heading with these names, where before it was that below
// the others; nil if it stays as it was, false where a column is missing.
func (l *Layout) under(before, names []string) (*Layout, bool) {
	if slices.EqualFunc(before, names, strings.EqualFold) {
		return nil, true
	}
	other := *l
	other.Fields = nil
	changed := l.Width > 0 && l.Width != len(names)
	for _, f := range l.Fields {
		at, _ := strconv.Atoi(f.Key)
		if at > len(before) {
			return nil, true // the first heading was none of these columns
		}
		was := understand(before[at-1])
		to := sameColumn(at-1, before, names, f.Quantity)
		if to < 0 {
			if f.Quantity == Celsius || f.Quantity == Counter || f.Quantity == Joules {
				changed = true
				continue
			}
			return nil, false
		}
		is := understand(names[to])
		now := f
		now.Key = strconv.Itoa(to + 1)
		if f.unit != nil && is.unit != nil && is.unit.of == f.Quantity && is.unit != was.unit {
			now.Form, now.unit = is.unit.name, is.unit
		}
		now.Negate = f.Negate != (was.out != is.out)
		changed = changed || now != f
		other.Fields = append(other.Fields, now)
	}
	if !changed {
		return nil, true
	}
	if other.Width > 0 {
		other.Width = len(names)
	}
	other.Stops = nil
	return &other, true
}

// sameColumn finds the column of before again among names: by its name, else by the
// quantity that it alone has, or has first; -1 where it is not there.
func sameColumn(at int, before, names []string, q Quantity) int {
	for i, name := range names {
		if strings.EqualFold(name, before[at]) {
			return i
		}
	}
	was := understand(before[at])
	if was.of != none {
		q = was.of
	}
	for i, name := range names {
		if is := understand(name); is.of == q && is.aside == was.aside {
			return i
		}
	}
	return -1
}

// under puts the names of two lines of a heading together.
func under(above, names []string) []string {
	both := make([]string, len(names))
	for i := range both {
		both[i] = above[i] + " " + names[i]
	}
	return both
}

// headingOf is the names in a heading, nil for any other line: two cells at least that
// are quantities, no numbers, and little else.
func headingOf(line []byte, sep byte) []string {
	const most = 600 // bytes
	if len(line) > most || !beginsWithName(line) || !byHand(line) || bytes.ContainsAny(line, "={") {
		return nil
	}
	_, width := cutColumns(bytes.TrimLeft(line, "#%;/!* "), sep, nil)
	if width < 2 || width > 2*maxColumns {
		return nil
	}
	names := headerCells(line, sep, width)
	if sep == ' ' && width%2 == 0 && width >= 4 {
		if apart := headerCells(line, sep, width/2); apart != nil && unitNamed([]byte(names[0]), none) == nil && unitNamed([]byte(names[2]), none) == nil {
			names = apart // a name and a unit each
		}
	}
	var seen [quantities]bool
	known, different := 0, 0
	for _, name := range names {
		if k, _, _ := kindOf([]byte(name), '.'); k != isOther && k != isBlank || saysNumber(name) {
			return nil
		}
		n := understand(name)
		if n.of == none {
			if n.index || n.other {
				known++
			}
			continue
		}
		known++
		if !seen[n.of] {
			seen[n.of] = true
			different++
		}
	}
	if different < 2 || known*2 < len(names) {
		return nil
	}
	return names
}

// beginsWithName tells whether a line may begin with a name, or with a mark before it.
func beginsWithName(line []byte) bool {
	if len(line) == 0 {
		return false
	}
	c := line[0]
	return marked(line) || lower(c)-'a' < 26 || c >= 0x80 || c == '"' || c == ' ' || c == '(' || c == '['
}

// byHand tells text that somebody wrote from bytes that nobody did: these have control
// characters, and more that are no letters than a name in an old encoding.
func byHand(line []byte) bool {
	high := 0
	for _, c := range line {
		if c < ' ' && c != '\t' || c == 0x7f {
			return false
		}
		if c >= 0x80 {
			high++
		}
	}
	return high*4 <= len(line) || utf8.Valid(line)
}

// saysNumber tells a name with its value, "Voltage: 12.15", from one with a number in it,
// "Cell 1", "t (0.1 s)".
func saysNumber(name string) bool {
	name, _, _ = strings.Cut(name, "(")
	name, _, _ = strings.Cut(name, "[")
	for i := range len(name) {
		if name[i]-'0' > 9 || i > 0 && name[i-1]-'0' <= 9 {
			continue
		}
		before := strings.TrimRight(name[:i], " +-")
		_, n := number([]byte(name[i:]), '.')
		if n > 2 && len(before) < i || strings.HasSuffix(before, ":") {
			return true
		}
	}
	return false
}

// underOne cuts a sample before a heading with other names than the one above, if
// there are rows enough to go by above it; else it goes on with what is below.
func underOne(lines [][]byte) [][]byte {
	const enough = 20
	var names, above []string
	from, at, rows := 0, -2, 0
	for i, l := range lines {
		heading := anyHeading(l)
		switch {
		case heading == nil:
			if MayBeRow(l) {
				rows++
			}
		case at == i-1 && len(above) == len(heading): // its second line
			full := under(above, heading)
			if from == at {
				names = full
			} else if !slices.EqualFunc(names, full, strings.EqualFold) && rows >= enough {
				return lines[:at]
			}
			above, at = heading, i
		case names == nil || slices.EqualFunc(names, heading, strings.HasPrefix):
			if names == nil {
				names, from = heading, i
			}
			above, at = heading, i
		case rows >= enough:
			return lines[:i]
		default:
			if rows > 0 {
				lines = slices.Clone(lines)
				clear(lines[from:i])
			}
			names, above, from, at, rows = heading, heading, i, i, 0
		}
	}
	return lines
}

// anyHeading is headingOf whatever stands between the names.
func anyHeading(line []byte) []string {
	for _, sep := range []byte{'\t', ';', '|', ',', ' '} {
		if names := headingOf(line, sep); names != nil {
			return names
		}
	}
	return nil
}
