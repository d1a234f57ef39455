package decoders

import (
	"bytes"
	"fmt"
	"math"
)

// One log may have the rows of several devices, or channels, by turns, each with its name
// in a column:
//
//	ch,time_s,voltage_V,current_A
//	1,0,12.61,3.40
//	2,0,27.12,0.35
//
// Taken as one they are neither.

// devices finds such a column, the names in it, and says what to do.
func (t *table) devices(tm *timing, g guess) *Unfit {
	if g.volts < 0 {
		return nil
	}
	moments := t.moments(tm, g)
	for k, c := range t.cols {
		if k == g.volts || k == g.amps || c.what == isStamp || c.what == isClock || c.what == isDate || c.said.of != none {
			continue
		}
		if a, b := t.byTurns(moments, k, g.volts); a != nil {
			return &Unfit{
				Found: fmt.Sprintf("%s, but rows of several devices take turns: %s is %q, then %q", t.seen(), t.label(k), a, b),
				Need:  "give the rows of one of them, with grep for instance", near: 4,
				sure: t.layout.Kind == columnsEntry.Name && t.names(g),
			}
		}
	}
	return nil
}

// wrapped says so where records take two lines each: the values of a column are others in every other
// line, and go on smoothly from there to the next but one. Names would have told.
func (t *table) wrapped(g guess) *Unfit {
	const least, far, wide = 40, 20, 0.2 // rows; our own figures; of the values' size
	if t.layout.Kind != columnsEntry.Name || g.volts < 0 || g.amps < 0 || t.names(g) {
		return nil
	}
	for _, c := range []*column{t.cols[g.volts], t.cols[g.amps]} {
		across, within := 0.0, 0.0
		for row := 2; row < len(c.x); row++ {
			across += math.Abs(c.x[row] - c.x[row-1])
			within += math.Abs(c.x[row] - c.x[row-2])
		}
		if c.n < least || c.n < len(c.x) || across < far*within || across < wide*c.size()*float64(c.n) {
			return nil
		}
	}
	return &Unfit{
		Found: t.seen() + ", but every other line has other values, as of records that take two lines each",
		Need:  "put each record on one line, with paste -d ' ' - - for instance", near: 4,
	}
}

// moments are the times of the rows, or a column without a name that may be, for all that
// it stands still at every other row; nil for none.
func (t *table) moments(tm *timing, g guess) []float64 {
	if tm.seconds != nil {
		return tm.seconds
	}
	for k, c := range t.cols {
		if k != g.volts && k != g.amps && c.what == isNumber && c.levels > 20 && c.rising > 0.1 && c.falling == 0 {
			return c.x
		}
	}
	return nil
}

// byTurns tells whether the voltage is another one, of the same moment, each time that a
// column changes, and goes on smoothly in the rows in which that has the same value. It
// gives two such values.
func (t *table) byTurns(moments []float64, column, volts int) (a, b []byte) {
	const most, least = 8, 20 // names, rows
	x := t.cols[volts].x
	var names [][]byte
	last := map[string]float64{}
	across, within, times, turns, rows, before := 0.0, 0.0, 0, 0, 0, -1
	for row, cell := range t.cols[column].cells {
		cell = trim(cell)
		if len(cell) == 0 || !known(x[row]) {
			continue
		}
		name := string(cell)
		was, seen := last[name]
		if last[name] = x[row]; !seen {
			if names = append(names, cell); len(names) > most {
				return nil, nil
			}
		}
		if before >= 0 && !bytes.Equal(cell, trim(t.cols[column].cells[before])) {
			turns++
			across += math.Abs(x[row] - x[before])
			if moments != nil && moments[row] == moments[before] {
				times++
			}
		}
		if seen {
			within += math.Abs(x[row] - was)
		}
		before = row
		rows++
	}
	if rows < least || turns*3 < rows || times*3 < turns || across < 3*within {
		return nil, nil
	}
	return names[0], names[1]
}
