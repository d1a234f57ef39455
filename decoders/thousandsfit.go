package decoders

import (
	"bytes"
	"fmt"
	"math"
	"strings"
)

// groupsSeen is how the numbers of a sample stand to a grouping.
type groupsSeen struct {
	marked, twice, other int     // numbers: in groups, in three of them or more, with the mark in another way
	zero                 int     // of the latter, those that begin with a nought
	places               []place // of numbers that may be compared
}

// place is what stands at one place of the lines, behind one word if any: the state of charge of the
// next line is no small number of this line's voltage.
type place struct {
	nth     int
	word    []byte
	marked  int    // numbers in groups,
	small   int    // below a thousand,
	large   int    // and above it without the mark
	example []byte // a marked one
	behind  []byte // what follows the latest that was marked or small: its unit
	units   bool   // not always the same
}

// at is the place of the n-th number of a line, which stands behind text.
func (s *groupsSeen) at(nth int, text []byte) *place {
	for len(text) > 0 && strings.IndexByte(" \t:=", text[len(text)-1]) >= 0 {
		text = text[:len(text)-1]
	}
	begin := len(text)
	for begin > 0 && letter(text[begin-1]) {
		begin--
	}
	word := text[begin:]
	for k := range s.places {
		if p := &s.places[k]; p.nth == nth && bytes.Equal(p.word, word) {
			return p
		}
	}
	if len(s.places) == 2*maxColumns {
		return &place{}
	}
	s.places = append(s.places, place{nth: nth, word: word})
	return &s.places[len(s.places)-1]
}

// look counts the numbers of a line.
func (g *grouping) look(l []byte, s *groupsSeen) {
	place := 0
	for i := 0; i < len(l) && place < maxColumns; {
		if l[i]-'0' > 9 || i > 0 && partOfNumber(l[i-1]) {
			i++
			continue
		}
		if n := timeLength(l[i:]); n > 0 {
			i += n
			continue
		}
		i = max(g.note(l, i, s, s.at(place, l[:i])), i+1)
		place++
	}
}

// note counts the number of a line that begins at i, and gives its end.
func (g *grouping) note(l []byte, i int, s *groupsSeen, at *place) (end int) {
	n, groups := g.groups(l[i:])
	end = i + n
	for end < len(l) && (l[end]-'0' <= 9 || l[end] == '.' || g.decimal() && g.mark(l[end:]) > 0 && end+1 < len(l) && l[end+1]-'0' <= 9) {
		end++
	}
	switch {
	case groups > 0 && !(g.decimal() && bytes.IndexByte(l[i+n:end], g.marks[0][0]) >= 0):
		s.marked++
		at.marked++
		at.unit(l[end:])
		at.example = l[i : i+n]
		if groups > 1 {
			s.twice++
		}
	case g.decimal() && bytes.IndexByte(l[i:end], g.marks[0][0]) >= 0:
		s.other++
		if l[i] == '0' {
			s.zero++ // 0.012
		}
	case n <= 3 && end == i+n:
		at.small++
		at.unit(l[end:])
	case n > 3:
		at.large++
	}
	return end
}

// unit notes the letters behind a number, or the unit in the cell behind it: 350 mA beside 1.250 A prove nothing.
func (p *place) unit(rest []byte) {
	word := firstLetters(bytes.TrimLeft(rest, " "))
	if next := firstLetters(behind(rest)); len(word) == 0 && unitNamed(next, none) != nil {
		word = next
	}
	if p.behind != nil && !bytes.Equal(p.behind, word) {
		p.units = true
	}
	p.behind = word
}

func firstLetters(b []byte) []byte {
	n := 0
	for n < len(b) && letter(b[n]) {
		n++
	}
	return b[:n:n]
}

// decimals tells that the mark is a decimal mark, whatever else comes.
func (s *groupsSeen) decimals() bool { return s.zero > 1 }

// may tells that the numbers may stand in groups: a good part of them does, and
// hardly one speaks against it.
func (s *groupsSeen) may(lines int) bool {
	if s.marked*5 < lines || s.marked < 3 || s.other*50 > s.marked || s.decimals() {
		return false
	}
	for _, at := range s.places {
		if at.large*50 > at.marked && at.marked > 0 {
			return false
		}
	}
	return true
}

// proof says why the mark can be no decimal mark, "" where nothing tells.
func (s *groupsSeen) proof() string {
	if s.twice > 0 {
		return "some numbers have it twice"
	}
	for _, at := range s.places {
		if at.marked >= 3 && at.small >= 3 && !at.units {
			return fmt.Sprintf("numbers below a thousand do without, those above are written like %s", at.example)
		}
	}
	return ""
}

// ungrouped is ungroup for many lines.
func (g *grouping) ungrouped(lines [][]byte) [][]byte {
	out := make([][]byte, len(lines))
	for k, l := range lines {
		out[k] = g.ungroup(make([]byte, 0, len(l)), l)
	}
	return out
}

// fitGrouped tries the ways to group digits, and weighs what comes out against
// best, which takes the numbers as they stand and may be nil.
func fitGrouped(s *sample, o Options, best *Fitted) *Fitted {
	data := dataLines(s.lines)
	for i := range groupings {
		g := &groupings[i]
		if !g.occurs(data) {
			continue
		}
		var seen groupsSeen
		for k := 0; k < len(data) && !seen.decimals(); k++ {
			g.look(data[k], &seen)
		}
		if !seen.may(len(data)) {
			continue
		}
		why := seen.proof()
		if why == "" && g.decimal() && otherDecimals(g, data) {
			why = "decimals have another mark"
		}
		if why == "" && (best == nil && g.decimal() || best != nil && best.stated && g.beyond(best.Layout, data)) {
			continue
		}
		other, _ := fitSample(s.through(g.ungrouped), o)
		if other == nil {
			continue
		}
		other.Layout.Grouping = g.name
		switch {
		case best == nil:
			why = "else no meaning can be found"
		case g.name != "blank" && why != "": // an apostrophe stands for nothing else
		case g.decimal() && sameReadings(best.Layout, other.Layout, data):
			continue
		case other.score > best.score+1.5:
			why = "else the numbers would be no battery's"
		default:
			if g.decimal() && math.Abs(best.score-other.score) <= 1.5 {
				best.doubt("the "+g.name+" may stand between groups of three digits; every number with it would be a thousand times as much", other.Layout.String())
				best.Confidence *= 0.6
				best.stated = false
			}
			continue
		}
		other.Evidence = append(other.Evidence, fmt.Sprintf("the %s stands between groups of three digits: %s", g.name, why))
		best = other
	}
	return best
}

// otherDecimals tells that of point and comma the one that is not g is the decimal
// mark of most lines, and separates nothing.
func otherDecimals(g *grouping, lines [][]byte) bool {
	apart := 0
	for _, l := range lines {
		if bytes.ContainsAny(l, ";\t|") {
			apart++
		}
	}
	if apart*10 <= len(lines)*9 {
		return false
	}
	other := groupingNamed(map[string]string{"point": "comma", "comma": "point"}[g.name])
	var seen groupsSeen
	for _, l := range lines {
		other.look(l, &seen)
	}
	return seen.other*2 > len(lines)
}

// beyond tells that a layout would refuse the lines without the marks, for a thousand times as
// much is no battery's.
func (g *grouping) beyond(l *Layout, lines [][]byte) bool {
	const few = 20
	s, err := NewStream(l)
	if err != nil {
		return false
	}
	for _, line := range g.ungrouped(lines[:min(len(lines), few)]) {
		if _, err := s.Line(line, 0, 0); err != ErrRange {
			return false
		}
	}
	return true
}

// sameReadings tells that two layouts read the same from the lines: a thousand times
// as much in thousandths is the same.
func sameReadings(a, b *Layout, lines [][]byte) bool {
	one, err := NewStream(a)
	if err != nil {
		return false
	}
	other, err := NewStream(b)
	if err != nil {
		return false
	}
	for k, l := range lines[:min(len(lines), plenty)] {
		x, errX := one.Line(l, float64(k), 0)
		y, errY := other.Line(l, float64(k), 0)
		if errX != errY || !near(x.At, y.At) || !near(x.Volts, y.Volts) || !near(x.Amps, y.Amps) {
			return false
		}
	}
	return true
}

// near tells that two numbers are the same but for rounding, or both missing.
func near(a, b float64) bool {
	return math.Abs(a-b) <= 1e-9*math.Abs(a) || !known(a) && !known(b)
}
