package decoders

import (
	"bytes"
	"fmt"
	"math"
	"slices"
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
func fitTime(t *table, o Options) timing {
	var tm timing
	tm.dates(t, o.Today, o.Span)
	if tm.handed(t) {
		tm.seconds = tm.play(t)
		return tm
	}
	if best, score := bestCount(t, o.Span); best >= 0 && (len(tm.fields) == 0 || score >= 3 && !tm.daily(t.cols[best]) && tm.finer(t, best)) {
		tm.count(t, best)
	}
	if len(tm.fields) > 0 {
		tm.seconds = tm.play(t)
	}
	return tm
}

// daily tells a number of the day beside a clock, which passes midnight without it.
func (tm *timing) daily(c *column) bool {
	return tm.fields[0].Quantity == Clock && c.whole && c.rising < 0.5
}

// finer tells that a count goes on at about as many rows as the clock beside it, or it would
// make them stand still. Beside a clock that goes on at each row a count without a name tells nothing more: it may
// be the voltage of a battery under charge.
func (tm *timing) finer(t *table, count int) bool {
	var clock stats
	clock.measure(tm.play(t))
	c := t.cols[count]
	return c.rising > clock.rising-0.1 && (c.said.of != none || clock.rising < goesOn)
}

// goesOn is at how many of the rows what goes on at each of them does (our own figure).
const goesOn = 0.9

func (tm *timing) add(t *table, col int, f Field, why string) {
	f.Key = t.cols[col].key
	if f.resolve() != nil {
		return
	}
	tm.fields = append(tm.fields, f)
	tm.cols = append(tm.cols, col)
	tm.evidence = append(tm.evidence, fmt.Sprintf("%s is %s in %s: %s", t.label(col), f.Quantity, f.Form, why))
}

// dates takes stamps, or a date and a clock, or a clock alone.
func (tm *timing) dates(t *table, today, span float64) {
	stamp, date, clock := -1, -1, -1
	for i, c := range t.cols {
		switch {
		case c.what == isStamp && c.full*rarely < t.rows: // when the log began, above its rows
		case c.what == isStamp && stamp < 0:
			stamp = i
		case c.what == isDate && date < 0:
			date = i
		case c.what == isClock && (clock < 0 || t.cols[clock].said.aside && !c.said.aside): // what remains is no time of the rows
			clock = i
		case c.what == isNumber && c.said.of != Volts && c.said.of != Amps && unixForm(&c.stats) != "" && stamp < 0 && c.falling < 0.1:
			tm.add(t, i, Field{Quantity: Stamp, Form: unixForm(&c.stats)}, "numbers of that size are seconds since 1970")
			return
		}
	}
	switch {
	case stamp >= 0:
		form, why, unsure := t.dateOrder(t.cols[stamp].cells, today)
		tm.unsure = unsure
		tm.add(t, stamp, Field{Quantity: Stamp, Form: form}, why+zoneless(t.cols[stamp].cells))
	case date >= 0 && clock >= 0:
		form, why, unsure := t.dateOrder(t.cols[date].cells, today)
		tm.unsure = unsure
		tm.add(t, date, Field{Quantity: Date, Form: form}, why)
		tm.add(t, clock, Field{Quantity: Clock, Form: t.cols[clock].clockMarks()}, "hours and minutes beside a date; they tell no zone and are taken as UTC")
	case clock >= 0:
		q, form, why := clockForm(t.cols[clock], span)
		tm.add(t, clock, Field{Quantity: q, Form: form}, why)
	}
}

// zoneless says so where stamps tell no offset from UTC.
func zoneless(cells [][]byte) string {
	for _, c := range cells {
		c = trim(c)
		if _, n := clockAt(c[max(0, len(c)-8):], formHMS); n == 8 {
			return "; it tells no zone and is taken as UTC"
		}
	}
	return ""
}

// unixForm tells the unit of a count since 1970 by its size: 2001 to 2065. A clock that lost its
// time on the way, as a small computer's at a power cut, goes on from 1970, by the same steps.
func unixForm(s *stats) string {
	const low, high = 1e9, 3e9
	const slowest = 120 // s from row to row; thousandths of a second would come eight times a second
	for _, f := range []struct {
		form  string
		scale float64
	}{{formUnix, 1}, {formUnixMs, 1e3}, {formUnixUs, 1e6}, {formUnixNs, 1e9}} {
		lost := s.first > low*f.scale && s.minimum >= 0 && s.stepMid < slowest*f.scale
		if (s.minimum > low*f.scale || lost) && s.maximum < high*f.scale {
			return f.form
		}
	}
	if s.minimum > 36000 && s.maximum < 60000 && !s.whole && s.maximum-s.minimum < 30 && s.rising > 0.8 {
		return formSerial // 1998 to 2064
	}
	return ""
}

// bestCount finds the column that counts elapsed time as a number.
func bestCount(t *table, span float64) (best int, score float64) {
	best = -1
	for i := range t.cols {
		if s, ok := t.countScore(i, span); ok && s > score {
			best, score = i, s
		}
	}
	if score < 1 {
		return -1, 0
	}
	return best, score
}

// countScore is how much a column counts as time does; false where it is none.
func (t *table) countScore(i int, span float64) (s float64, ok bool) {
	c := t.cols[i]
	switch {
	case c.what != isNumber || c.n < 2 || c.stands() || unixForm(&c.stats) != "":
		return 0, false
	case c.n > 20 && c.falling > 0.2:
		return 0, false // whatever falls so often is no time
	case c.said.of == none && c.said.other || c.said.unit == nil && hasAny(c.name, "tick", "ticks", "jiffies"):
		return 0, false // a duty; and of ticks nobody knows how many a second has
	case c.said.of == none && c.outOfStep(span):
		return 0, false
	}
	s = 4*c.rising - 6*c.falling - 1
	ticks := c.rising < 0.6 && c.ticks()
	if ticks {
		s = 4 - 1.5 // as good as one that rises at each row, almost
	}
	switch {
	case c.said.of == Time || c.said.of == Clock || c.said.of == Date: // "date/time" may count seconds
		s += 4
	case c.said.of != none || c.falling > 0.03 || c.rising < 0.6 && !ticks:
		return 0, false
	case c.spread() < 0.3*c.size() && (c.stepHigh > 3*c.stepLow || c.digitwise()):
		s -= 3 // a voltage under charge rises too, but not in step
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
	if t.numbersBeside(i) {
		s -= 2
	}
	if c.stepLow > 0.9*c.stepMid {
		s += 0.5 // a regular beat, which a counter of charge has not
	}
	return s + c.keepsStep(span), true
}

// digitwise tells numbers with decimals that rise by a few of the last digit, now by more and now by less.
func (c *column) digitwise() bool {
	const few = 5
	return !c.whole && c.stepHigh < few*c.quantum && c.stepHigh-c.stepLow > c.quantum/2
}

// stands tells a column that has one value but for a few rows: a time would go on.
func (c *column) stands() bool { return c.n > 20 && c.low == c.high }

// counts tells a number of the row: 0 or 1, then one more each time.
func counts(c *column) bool {
	return c.whole && (c.first == 0 || c.first == 1) && c.stepLow == 1 && c.stepHigh == 1
}

// numbers tells a count that goes up by one at each row, and is written without decimals.
func (c *column) numbers() bool {
	return c.said.of != Time && c.whole && c.rising > goesOn && c.stepLow == 1 && c.stepHigh == 1 &&
		!slices.ContainsFunc(c.cells, func(cell []byte) bool { return bytes.ContainsAny(cell, ".,") })
}

// numbersBeside tells the number of the row before a time, which rises at each row by the same, and not by one.
func (t *table) numbersBeside(k int) bool {
	if k+1 == len(t.cols) || !t.cols[k].numbers() {
		return false
	}
	c := t.cols[k+1]
	return c.what == isNumber && (c.said.of == none || c.said.of == Time) && !c.said.other &&
		c.rising > goesOn && c.stepHigh-c.stepLow < 1e-6*c.stepHigh && math.Abs(c.stepMid-1) > 1e-6
}

// ticks tells a clock that is coarser than the rows come, like whole seconds at five
// rows a second: it never falls, rises by the same each time, and stands still for
// as many rows between, but for one. What is measured does not: it has noise, or a
// course of its own.
func (c *column) ticks() bool {
	const few = 4
	if c.falling > 0 || c.stepHigh > c.stepLow*(1+1e-6) {
		return false
	}
	var runs []float64
	stood, last := 0.0, math.NaN()
	for _, x := range c.x {
		switch {
		case !known(x):
		case x == last:
			stood++
		default:
			runs = append(runs, stood)
			stood, last = 0, x
		}
	}
	if len(runs) < few+2 {
		return false
	}
	first := runs[1] // runs[0] is none
	runs = runs[2:]
	slices.Sort(runs)
	longest := quantile(runs, 0.98)
	// The first may have begun before the log, the last may go on behind it: shorter, not longer.
	return longest-quantile(runs, 0.02) <= 1 && first <= longest+1 && stood <= longest+1
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
		out[row], _ = s.device(&r)
	}
	return out
}
