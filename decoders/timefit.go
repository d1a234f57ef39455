package decoders

import (
	"fmt"
	"math"
)

// timing is what was found out about the time of a table.
type timing struct {
	fields   []Field
	cols     []int // columns that are taken
	evidence []string
	seconds  []float64 // of each row, unwrapped, NaN where unknown; nil without a time
	unsure   *doubt
	free     bool // the unit is a guess that a charge counter may correct
}

// fitTime finds the columns of time.
func fitTime(t *table) timing {
	var tm timing
	tm.dates(t)
	if best, score := bestCount(t); best >= 0 && (len(tm.fields) == 0 || score >= 3) {
		tm.count(t, best)
	}
	if len(tm.fields) > 0 {
		tm.seconds = tm.play(t)
	}
	return tm
}

func (tm *timing) add(t *table, col int, f Field, why string) {
	f.Key = t.cols[col].key
	if f.resolve() != nil {
		return
	}
	tm.fields = append(tm.fields, f)
	tm.cols = append(tm.cols, col)
	tm.evidence = append(tm.evidence, fmt.Sprintf("%s is %s in %s: %s", t.label(col), f.Quantity, f.Form, why))
}

// label is how a column is called in evidence.
func (t *table) label(col int) string {
	c := t.cols[col]
	switch {
	case t.layout.Kind != "columns":
		return fmt.Sprintf("%q", c.key)
	case c.name != "":
		return fmt.Sprintf("column %s (%q)", c.key, c.name)
	}
	return "column " + c.key
}

// dates takes stamps, or a date and a clock, or a clock alone.
func (tm *timing) dates(t *table) {
	stamp, date, clock := -1, -1, -1
	for i, c := range t.cols {
		switch {
		case c.what == isStamp && stamp < 0:
			stamp = i
		case c.what == isDate && date < 0:
			date = i
		case c.what == isClock && clock < 0:
			clock = i
		case c.what == isNumber && c.said.of != Volts && c.said.of != Amps && unixForm(&c.stats) != "" && stamp < 0 && c.falling < 0.1:
			tm.add(t, i, Field{Quantity: Stamp, Form: unixForm(&c.stats)}, "numbers of that size are seconds since 1970")
			return
		}
	}
	switch {
	case stamp >= 0:
		form, why, unsure := dateOrder(t.cols[stamp].cells)
		tm.unsure = unsure
		tm.add(t, stamp, Field{Quantity: Stamp, Form: form}, why+zoneless(t.cols[stamp].cells))
	case date >= 0 && clock >= 0:
		form, why, unsure := dateOrder(t.cols[date].cells)
		tm.unsure = unsure
		tm.add(t, date, Field{Quantity: Date, Form: form}, why)
		tm.add(t, clock, Field{Quantity: Clock, Form: formHMS}, "hours and minutes beside a date; they tell no zone and are taken as UTC")
	case clock >= 0:
		q, form, why := clockForm(t.cols[clock])
		tm.add(t, clock, Field{Quantity: q, Form: form}, why)
	}
}

// zoneless says so where stamps tell no offset from UTC.
func zoneless(cells [][]byte) string {
	for _, c := range cells {
		c = trim(c)
		if _, n := clockAt(c[max(0, len(c)-8):], formHMS); len(c) > 0 && n == 8 {
			return "; it tells no zone and is taken as UTC"
		}
	}
	return ""
}

// unixForm tells the unit of a count since 1970 by its size: 2001 to 2065.
func unixForm(s *stats) string {
	const low, high = 1e9, 3e9
	for _, f := range []struct {
		form  string
		scale float64
	}{{formUnix, 1}, {formUnixMs, 1e3}, {formUnixUs, 1e6}, {formUnixNs, 1e9}} {
		if s.minimum > low*f.scale && s.maximum < high*f.scale {
			return f.form
		}
	}
	if s.minimum > 36000 && s.maximum < 60000 && !s.whole && s.maximum-s.minimum < 30 && s.rising > 0.8 {
		return formSerial // 1998 to 2064
	}
	return ""
}

// dateOrder tells day-first from month-first: by a number over twelve, else
// by the date going on: the day changes from one midnight to the next, the
// month does not.
func dateOrder(cells [][]byte) (form, why string, unsure *doubt) {
	var first, second [32]bool
	var lastFirst, lastSecond, changedFirst, changedSecond int
	seen := 0
	for _, c := range cells {
		c = trim(c)
		a, n := digits(c)
		if n == 0 || n >= len(c) {
			if _, k := monthAt(c); k > 0 {
				return formMDY, "the month has a name", nil
			}
			continue
		}
		if n >= 4 {
			return formYMD, "the year stands first", nil
		}
		b, k := digits(c[n+1:])
		if k == 0 || a > 31 || b > 31 {
			if _, k := monthAt(c[n+1:]); k > 0 {
				return formDMY, "the month has a name", nil
			}
			return formYMD, "no other order gives a date", nil
		}
		first[a], second[b] = true, true
		if seen > 0 && a != lastFirst {
			changedFirst++
		}
		if seen > 0 && b != lastSecond {
			changedSecond++
		}
		lastFirst, lastSecond = a, b
		seen++
	}
	for x := 13; x <= 31; x++ {
		if first[x] {
			return formDMY, fmt.Sprintf("the first number reaches %d, so it is the day", x), nil
		}
		if second[x] {
			return formMDY, fmt.Sprintf("the second number reaches %d, so it is the day", x), nil
		}
	}
	switch {
	case changedFirst > changedSecond:
		return formDMY, "the first number changes from day to day", nil
	case changedSecond > changedFirst:
		return formMDY, "the second number changes from day to day", nil
	}
	if lastFirst == lastSecond {
		return formDMY, "day and month are the same number", nil
	}
	// The day of the year is open, elapsed time is not: nothing in an
	// ampere-hour depends on it.
	return formDMY, "day first is assumed; nothing in the lines tells day from month",
		&doubt{what: "whether the day or the month stands first", from: formDMY, to: formMDY}
}

// doubt is a question that the lines leave open, with two answers.
type doubt struct{ what, from, to string }

// clockForm tells a clock from an elapsed time, and h:mm from m:ss.
func clockForm(c *column) (q Quantity, form, why string) {
	var two, three, fraction, hours int
	first := math.NaN()
	var steps []float64
	last := math.NaN()
	for _, cell := range c.cells {
		cell = trim(cell)
		s, n := clockAt(cell, formHMS)
		if n == 0 {
			continue
		}
		colons := 0
		for _, b := range cell {
			if b == ':' {
				colons++
			}
			if b == '.' || b == ',' {
				fraction++
			}
		}
		if colons == 1 {
			two++
		} else {
			three++
		}
		if s >= day {
			hours++
		}
		if first != first {
			first = s
		}
		if d := s - last; d > 0 {
			steps = append(steps, d)
		}
		last = s
	}
	elapsed := hours > 0 || first < 60 || c.said.of == Time && hasAny(c.name, "elapsed", "dauer", "laufzeit", "duration", "runtime")
	switch {
	case two > three && (fraction > 0 || hours > 0 && shortSteps(steps)):
		return Time, formMS, "minutes and seconds"
	case elapsed:
		return Time, formHMS, "it counts from the start"
	}
	return Clock, formHMS, "time of day"
}

// shortSteps: read as hours and minutes, rows would be an hour apart.
func shortSteps(steps []float64) bool {
	var s stats
	s.measure(steps)
	return s.n > 0 && s.median < 3600
}

func hasAny(name string, words ...string) bool {
	for _, t := range nameTokens(name) {
		if has(words, t) {
			return true
		}
	}
	return false
}

// bestCount finds the column that counts elapsed time as a number.
func bestCount(t *table) (best int, score float64) {
	best = -1
	for i, c := range t.cols {
		if c.what != isNumber || c.n < 2 || unixForm(&c.stats) != "" {
			continue
		}
		s := 4*c.rising - 6*c.falling - 1
		if c.said.of == Time {
			s += 4
		} else if c.said.of != none {
			continue
		}
		if c.said.index {
			s -= 5
		}
		if counts(c) && c.said.of != Time {
			s -= 1.5
			if c.first == 1 {
				s -= 1
			}
		}
		if c.stepMid > 0 && c.stepLow > 0.9*c.stepMid {
			s += 0.5 // a regular beat, which a counter of charge has not
		}
		if s > score {
			best, score = i, s
		}
	}
	if score < 1 {
		return -1, 0
	}
	return best, score
}

// counts tells a number of the row: 0 or 1, then one more each time.
func counts(c *column) bool {
	return c.whole && (c.first == 0 || c.first == 1) && c.stepLow == 1 && c.stepHigh == 1
}

// count adds a column of elapsed time with its unit.
func (tm *timing) count(t *table, col int) {
	c := t.cols[col]
	if u := c.said.unit; u != nil && u.of == Time {
		tm.add(t, col, Field{Quantity: Time, Form: u.name}, "its name says so")
		return
	}
	if hasAny(c.name, "millis") {
		tm.add(t, col, Field{Quantity: Time, Form: "ms"}, "its name says so")
		return
	}
	tm.free = true // settle chooses the unit, when voltage and current are known
	tm.add(t, col, Field{Quantity: Time, Form: "s"}, "")
	tm.evidence = tm.evidence[:len(tm.evidence)-1]
}

// settle chooses the unit of a time that has none.
func (tm *timing) settle(t *table, g guess) {
	if !tm.free || tm.agree(t) {
		return
	}
	at := len(tm.fields) - 1 // count comes last
	col := tm.cols[at]
	c, shortest := t.cols[col], t.shortest(g)
	best, second := -1, -1
	var score [6]float64
	for i := range score {
		score[i] = beatScore(c, &units[i], shortest)
		if best < 0 || score[i] > score[best] {
			best, second = i, best
		} else if second < 0 || score[i] > score[second] {
			second = i
		}
	}
	u := &units[best]
	tm.fields[at].Form, tm.fields[at].unit = u.name, u
	tm.seconds = tm.play(t)
	tm.evidence = append(tm.evidence, fmt.Sprintf("%s is time in %s: it rises, a row every %.4g s, %.4g h in all",
		t.label(col), u.name, u.si(c.stepMid), u.si(c.maximum-c.minimum)/3600))
	if score[best]-score[second] < 0.5 {
		tm.unsure = &doubt{what: "the unit of time", from: u.name, to: units[second].name}
	}
}

// agree takes the unit from a clock or stamp beside the count, if there is
// one, or drops a count that goes with neither.
func (tm *timing) agree(t *table) bool {
	at := len(tm.fields) - 1
	if at == 0 {
		return false
	}
	tm.free = false
	col := tm.cols[at]
	count := t.cols[col].x
	clock := timing{fields: tm.fields[:at], cols: tm.cols[:at]}
	seconds := clock.play(t)
	var from, to int
	for from = 0; from < len(count)-1 && !(known(count[from]) && known(seconds[from])); from++ {
	}
	for to = len(count) - 1; to > from && !(known(count[to]) && known(seconds[to])); to-- {
	}
	ratio := (seconds[to] - seconds[from]) / (count[to] - count[from])
	for i := range units[:6] {
		if u := &units[i]; math.Abs(ratio/u.si(1)-1) < 0.05 {
			tm.fields[at].Form, tm.fields[at].unit = u.name, u
			tm.seconds = tm.play(t)
			tm.evidence = append(tm.evidence, fmt.Sprintf("%s is time in %s: it keeps step with the clock beside it", t.label(col), u.name))
			return true
		}
	}
	tm.fields, tm.cols, tm.seconds = clock.fields, clock.cols, seconds
	return true
}

// shortest is the least time in s that what the lines show can have taken: a
// current that tapers at held voltage, or a voltage that goes from one end to
// the other under current, is a good part of a whole charge, and no battery
// takes one in less than about an hour and a half (common practice, no source).
func (t *table) shortest(g guess) float64 {
	const whole, part = 5400, 300
	if g.volts < 0 || g.amps < 0 {
		return part
	}
	v, i := t.cols[g.volts], t.cols[g.amps]
	high, held := 0, 0
	for row, x := range i.x {
		switch size := math.Abs(x); {
		case size > 0.7*i.size():
			high++
		case size < 0.5*i.size() && size > 0.02*i.size() && v.x[row] > 0.98*v.high:
			held++
		}
	}
	if high*10 > i.n && (held*10 > i.n || v.spread() > 0.12*math.Abs(v.median)) {
		return whole
	}
	return part
}

// beatScore tells how well a unit of time suits: loggers beat in round
// numbers of seconds, and charges take hours (common practice, no source).
func beatScore(c *column, u *unit, shortest float64) float64 {
	beat, length := u.si(c.stepMid), u.si(c.maximum-c.minimum)
	s := map[string]float64{"s": 1.2, "ms": 0.6, "min": 0.5, "h": 0.2, "us": -1, "d": -1}[u.name]
	for _, round := range []float64{0.1, 0.2, 0.25, 0.5, 1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 30, 60, 120, 180, 300, 600} {
		if math.Abs(beat-round) < 0.02*round {
			s++
			break
		}
	}
	s -= beyond(beat, 0.05, 700)
	return s - 2*beyond(length, shortest, 40*3600)*math.Min(1, float64(c.n)/100)
}

// beyond is how far x is outside of a range, as a natural logarithm.
func beyond(x, low, high float64) float64 {
	switch {
	case x <= 0:
		return 10
	case x < low:
		return math.Log(low / x)
	case x > high:
		return math.Log(x / high)
	}
	return 0
}

// play runs the fields over the rows, as a stream would.
func (tm *timing) play(t *table) []float64 {
	s := Stream{layout: &Layout{Fields: tm.fields}}
	out := make([]float64, t.rows)
	for row := range out {
		r := blank
		for i := range tm.fields {
			var err error
			tm.fields[i].put(t.cols[tm.cols[i]].cells[row], t.layout.Decimal, &r, &err)
		}
		at, _, ok := s.device(&r)
		if !ok {
			at = math.NaN()
		}
		out[row] = at
	}
	return out
}
