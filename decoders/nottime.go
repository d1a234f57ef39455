package decoders

import "math"

// What rises from row to row may be no time of the rows: that of other lines, a count of charge,
// a number of the row.

// notTime marks columns that were taken for the time of the rows and are something else.
func (t *table) notTime(tm *timing, best guess, o Options) bool {
	alone := tm.free && len(tm.fields) == 1
	switch {
	case tm.seconds != nil && !t.beside(tm, best): // the time of other lines
		for _, col := range tm.cols {
			t.cols[col].what = isOther
		}
	case alone && t.charges(tm.cols[0], best):
		t.cols[tm.cols[0]].said.of = Counter
	case alone && o.Live && t.cols[tm.cols[0]].numbersRows(o.Span):
		t.cols[tm.cols[0]].what = isOther
	case alone && t.cols[tm.cols[0]].gainsays(o.Interval):
		t.cols[tm.cols[0]].what = isOther
	default:
		return false
	}
	return true
}

// beside tells whether most rows with a voltage or current have a time, or a time
// on a line of its own where voltage and current stand on lines of their own too.
func (t *table) beside(tm *timing, g guess) bool {
	with, all, alone := 0, 0, 0
	for row, at := range tm.seconds {
		if t.tells(g, row) {
			all++
			if known(at) {
				with++
			}
		} else if known(at) {
			alone++
		}
	}
	return with*2 > all || alone*3 > all && t.pairs(g)
}

// numbersRows tells a nameless number of the row from a time: it grows by one with each
// line, and these took longer to come than that makes in any unit. A log may be played
// faster than it was made, but hardly slower.
func (c *column) numbersRows(span float64) bool {
	if c.said.of == Time || !c.whole || c.stepLow != 1 || c.stepHigh != 1 || span < shortestSpan || c.maximum-c.minimum > span/1.6 {
		return false
	}
	return c.keepsStep(span) == 0
}

// gainsays tells a number of the row without the name of a time that would be seconds, where rows were stated to be another
// time apart.
func (c *column) gainsays(interval float64) bool {
	return interval > 0 && math.Abs(interval-1) > 1e-6 && c.said.of == none && c.numbers()
}

// numbered is the column of a time without a name that goes up by one each row, as the number of a row
// does; -1 where there is none, or something bears it out.
func (tm *timing) numbered(t *table) int {
	if !tm.free || len(tm.fields) != 1 {
		return -1
	}
	if c := t.cols[tm.cols[0]]; c.name != "" || !counts(c) {
		return -1
	}
	return tm.cols[0]
}

// backwards tells rows of which hardly one is later than the one before.
func (tm *timing) backwards() bool {
	var s stats
	s.measure(tm.seconds)
	return s.n > 20 && s.falling > 0.9
}
