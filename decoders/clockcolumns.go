package decoders

import "strings"

// A time may be handed out over columns: hours, minutes and seconds. The fields add up.
//
//	hour,min,sec,volt,amp
//	20,40,05,13.82,3.500

// handed takes such columns where their names and numbers say so, unless there is a
// better time.
func (tm *timing) handed(t *table) bool {
	for k, f := range tm.fields {
		if f.Form == formHM {
			return tm.secondsBeside(t, tm.cols[k]+1)
		}
		if f.Quantity == Stamp || f.Quantity == Clock {
			return false
		}
	}
	for i := 0; i+2 < len(t.cols); i++ {
		h, m, s := t.cols[i], t.cols[i+1], t.cols[i+2]
		if !h.hours() || !m.begins('m') || !s.begins('s') || !h.whole || !m.whole || m.maximum > 59 || s.maximum >= 61 {
			continue
		}
		q := Time
		if h.maximum < 24 && h.falling > 0 {
			q = Clock
		}
		*tm = timing{}
		for k, form := range []string{"h", "min", "s"} {
			tm.add(t, i+k, Field{Quantity: q, Form: form, adds: k > 0}, "hours, minutes and seconds have a column each")
		}
		return true
	}
	return false
}

// secondsBeside takes the seconds behind a clock that has none, HHMM,SEC.
func (tm *timing) secondsBeside(t *table, i int) bool {
	if i == len(t.cols) || !t.cols[i].begins('s') || t.cols[i].maximum >= 61 {
		return false
	}
	tm.add(t, i, Field{Quantity: Clock, Form: "s", adds: true}, "the seconds of the clock before it")
	return true
}

// hours tells that a column's name begins as hours do, or is a word for them or for the clock: Stunde, ora.
func (c *column) hours() bool {
	return c.begins('h') || c.what == isNumber && c.minimum >= 0 && (c.said.of == Clock || c.said.unit != nil && c.said.unit.name == "h")
}

// begins tells that a column of numbers has a name that begins with a letter.
func (c *column) begins(letter byte) bool {
	name := strings.TrimLeft(c.name, " ")
	return c.what == isNumber && c.minimum >= 0 && name != "" && lower(name[0]) == letter
}
