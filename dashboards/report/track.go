package report

import (
	"math"

	"amphora/analyze"
	"amphora/dashboards/curve"
)

// Track collects what a report shows of a log beside its summary, row by row: the
// curve, what was foretold on the way, and, where they are to be exported, all
// the rows. Make one with NewTrack.
type Track struct {
	curve    curve.Curve
	rows     []row // all of them, or none
	keep     bool
	summed   int // rows of which the charge is known
	foretold []foretold

	last  float64 // s, of the latest row
	ask   float64 // s, when to ask for a forecast again
	every float64 // s between two of them
}

// row is one row of a log. What was not measured is NaN.
type row struct {
	curve.Point
	in float64 // C into the battery since the log's first row; NaN where not known
}

// foretold is what was foretold at a time.
type foretold struct {
	at float64 // s
	analyze.Forecast
}

const (
	firstAsk     = 60  // s between two forecasts, at first
	mostForetold = 200 // then every other is dropped
)

// NewTrack begins a track; rows tells whether to keep all rows, at 40 bytes each.
func NewTrack(rows bool) *Track {
	return &Track{keep: rows, last: math.Inf(-1), every: firstAsk}
}

// Take looks at the machine after a step. A step that brought no row leaves no trace.
func (t *Track) Take(m *analyze.Machine) {
	at, v, i, c, ok := m.Last()
	if !ok || at <= t.last {
		return
	}
	t.last = at
	t.curve.Add(at, v, i, c)
	if t.keep {
		t.rows = append(t.rows, row{curve.Point{At: at, Volts: v, Amps: i, Celsius: c}, analyze.Unknown()})
		t.sum(m)
	}
	if at >= t.ask && !m.Idle() {
		t.ask = at + t.every
		t.foretell(m)
	}
}

// sum notes the charge of rows as it becomes known.
func (t *Track) sum(m *analyze.Machine) {
	done, in, ok := m.Flowed()
	for ok && t.summed < len(t.rows) && t.rows[t.summed].At <= done {
		t.rows[t.summed].in = in
		t.summed++
	}
}

func (t *Track) foretell(m *analyze.Machine) {
	d := m.Document()
	f := d.Sessions[len(d.Sessions)-1].Forecast
	if f == nil {
		return
	}
	t.foretold = append(t.foretold, foretold{t.last, *f})
	t.thin()
}

// thin drops every other forecast where there are many, and asks half as often.
func (t *Track) thin() {
	if len(t.foretold) < mostForetold {
		return
	}
	kept := t.foretold[:0]
	for k := 0; k < len(t.foretold); k += 2 {
		kept = append(kept, t.foretold[k])
	}
	t.foretold, t.every = kept, 2*t.every
}

// Shift moves all times by so many seconds, to those of another account of the
// same charge.
func (t *Track) Shift(by float64) {
	if by == 0 {
		return
	}
	moved := curve.Curve{}
	for _, p := range t.curve.Points(math.MaxInt) {
		moved.Add(p.At+by, p.Volts, p.Amps, p.Celsius)
	}
	t.curve = moved
	for k := range t.rows {
		t.rows[k].At += by
	}
	for k := range t.foretold {
		t.foretold[k].at += by
		t.foretold[k].FinishS += analyze.Number(by)
	}
}

// between are the points of a stretch of time, as finely as they were kept.
func (t *Track) between(from, to float64) []curve.Point {
	var list []curve.Point
	for _, p := range t.curve.Points(math.MaxInt) {
		if from <= p.At && p.At <= to {
			list = append(list, p)
		}
	}
	return list
}
