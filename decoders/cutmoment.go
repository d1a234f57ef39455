package decoders

import "bytes"

// moment is the moment for a clock of the form h:mm, h:mm:ss or h:mm:ss.f, with a
// date before it or not, or for a date alone; false where the cell is no such. It
// limits what the digits of the clock may be, and sets those of the date: another
// day needs another stencil.
func (f *Field) moment(cell []byte, at int, highest []byte) (moment, bool) {
	m := moment{to: f.Quantity}
	if f.unit != nil || f.Form == formMS || countUnits[f.Form] != nil {
		return m, false
	}
	begin := 0
	if f.Quantity != Clock {
		m.date, begin = dateAt(cell, f.Form)
		clear(highest[:len(cell)])
	}
	if f.Quantity == Date {
		return m, begin > 0
	}
	for begin < len(cell) && cell[begin]-'0' > 9 {
		begin++
	}
	_, length := clockAt(cell[begin:], formHMS)
	if _, n := halfDay(cell[begin+length:]); n > 0 {
		return m, false // 13:00 PM, which is no half of a day, while 12:00 PM is
	}
	m.east, _ = zoneAt(cell[begin+length:])
	whole, parts := cell[begin:begin+length], []byte(nil)
	if mark := bytes.IndexAny(whole, ".,"); mark >= 0 {
		whole, parts = whole[:mark], whole[mark+1:]
	}
	if !m.clock(whole, at+begin, highest[begin:]) {
		return m, false
	}
	return m, len(parts) == 0 || m.fraction(parts, at+begin+len(whole)+1, highest[begin+len(whole)+1:])
}

// clock takes h:mm or h:mm:ss.
func (m *moment) clock(text []byte, at int, highest []byte) bool {
	colons := 0
	for k, c := range text {
		switch {
		case c-'0' <= 9:
			highest[k] = 9
			if colons > 0 && text[k-1] == ':' && k+1 < len(text) && text[k+1]-'0' <= 9 {
				highest[k] = 5 // the tens of minutes or seconds
			}
		case c == ':':
			colons++
		default:
			return false
		}
	}
	if len(text) > 8 || colons < 1 || colons > 2 {
		return false
	}
	m.seconds = cutDigits(text, at, map[int]uint64{1: 60, 2: 1}[colons])
	return true
}

// fraction takes the digits behind the point of the seconds.
func (m *moment) fraction(text []byte, at int, highest []byte) bool {
	if n, _, ok := plainDigits(text, '.'); !ok || n != len(text) || n > 8 {
		return false
	}
	for k := range text {
		highest[k] = 9
	}
	m.parts, m.scale = cutDigits(text, at, 1), pow10[len(text)]
	return true
}
