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

	last   float64 // s, of the latest row
	ask    float64 // s, when to ask for a forecast again
	every  float64 // s between two of them
	asked  int     // times in this charge, as many as there would be at this pace
	charge float64 // s, when this charge began
	from   int     // where its forecasts begin
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
	firstAsk = 60 // s between two forecasts, at first
	mostAsks = 64 // in one charge: then every other forecast is dropped
)

// NewTrack begins a track; rows tells whether to keep all rows, at 40 bytes each.
func NewTrack(rows bool) *Track {
	return &Track{keep: rows, last: math.Inf(-1), charge: math.NaN()}
}

// Coarse is a track of what is left of a charge whose rows are no longer kept.
func Coarse(points []curve.Point) *Track {
	t := NewTrack(false)
	for _, p := range points {
		t.curve.Add(p.At, p.Volts, p.Amps, p.Celsius)
		t.last = p.At
	}
	return t
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
		d := m.Document()
		t.foretell(&d.Sessions[len(d.Sessions)-1])
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

// foretell notes what is foretold of the charge under way, if anything is. A long
// charge is asked about less and less often: to be asked costs as much as a
// thousand rows.
func (t *Track) foretell(s *analyze.Session) {
	if start := float64(s.StartS); start != t.charge {
		t.charge, t.every, t.asked, t.from = start, firstAsk, 0, len(t.foretold)
	}
	t.ask = t.last + t.every
	if s.Forecast != nil {
		t.foretold = append(t.foretold, foretold{t.last, *s.Forecast})
	}
	if t.asked++; t.asked < mostAsks {
		return
	}
	kept := t.foretold[:t.from]
	for k := t.from; k < len(t.foretold); k += 2 {
		kept = append(kept, t.foretold[k])
	}
	t.foretold, t.every, t.asked = kept, 2*t.every, mostAsks/2
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
	t.last += by
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
