package analyze

import (
	"math"
	"slices"
)

// onChange tells a log that has a row only where a reading has changed from one with rows
// at a beat: of the former, a long time without a row says that nothing has changed.
//
// In such a log no row repeats the one before, and most differ from it by one digit of one
// value. Of rows at a beat, if the meter scatters by less than a digit, most repeat; if it
// scatters by more, a change by one digit of one value is at most four times as frequent as
// a repeat, for any scatter that thins out to both sides. So a repeat weighs more than four
// such changes. Rows at a steady pace are asked for repeats alone: a log written on change is
// steady too while readings scatter.
type onChange struct {
	volts, amps float64 // the smallest change of each so far
	quickest    float64 // s, the pace of two intervals in a row, at the quickest
	score       int
	until       float64 // s, the latest row that was learned from
	sure        bool    // for the first time
	told        bool
}

const (
	repeatWeighs  = 6
	mostScore     = 40
	maybeOnChange = 3 // of score: a row that differs by a digit comes late because nothing changed
	sureOnChange  = 8 // the same: so does any that rows in between could not have led to

	// A row that repeats after more than so many of the quickest intervals may be written
	// now and then to show that the logger lives.
	signOfLife = 3
	oneDigit   = 1.5 // of the smallest change
	fewDigits  = 3.5 // of it: a scatter that leaps over a digit
)

// onChange asks whether interval k, which is long, lies between rows of a log that is written
// on change, with nothing missing in it.
func (w *window) writtenOnChange(k int) bool {
	o := &w.onChange
	ahead, end := k+min(k, 1)*2, min(k+3, w.n-1) // two rows ahead, as an interval is judged
	o.stand(w.rows[:min(ahead, end)+1])
	for j := ahead; j < end; j++ {
		if w.rows[j+1].t > o.until {
			o.learn(w.rows[max(j-1, 0) : j+2])
			o.until = w.rows[j+1].t
		}
	}
	return o.whole(w.rows[k:min(k+3, w.n)])
}

// learn takes the latest rows: two, and the one before if there is one.
func (o *onChange) learn(rows []row) {
	n := len(rows)
	a, b := &rows[n-2], &rows[n-1]
	climbs := false
	if n > 2 {
		climbs = (b.i-a.i)*(a.i-rows[0].i) > 0
		o.paced(max(b.t-a.t, a.t-rows[0].t))
	}
	dv, di := math.Abs(b.v-a.v), math.Abs(b.i-a.i)
	o.volts, o.amps = leastChange(o.volts, dv), leastChange(o.amps, di)
	switch {
	case b.repeats(a):
		if o.quick(a, b) {
			o.score -= repeatWeighs
		}
	case (dv == 0 || di == 0) && o.within(a, b, oneDigit):
		o.score++
	case !switched(a, b) && !climbs:
		o.score--
	}
	o.score = min(max(o.score, -mostScore), mostScore)
	o.sure = o.sure || o.score >= sureOnChange
}

func (o *onChange) paced(dt float64) {
	if o.quickest == 0 || dt < o.quickest {
		o.quickest = dt
	}
}

// stand takes rows at a steady pace, of which the first may be known. Once it is clear that they
// come at a beat, no more are needed.
func (o *onChange) stand(rows []row) {
	last := len(rows) - 1
	if o.score == -mostScore {
		o.until = max(o.until, rows[last].t)
		return
	}
	first := last
	for first > 0 && rows[first].t > o.until {
		first--
	}
	for j := first; j < last && o.score > -mostScore; j++ {
		a, b := &rows[j], &rows[j+1]
		o.paced(b.t - a.t)
		if b.repeats(a) && o.quick(a, b) {
			o.score = max(o.score-repeatWeighs, -mostScore)
		}
	}
	o.until = max(o.until, rows[last].t)
}

func leastChange(least, d float64) float64 {
	if d > 0 && (least == 0 || d < least) {
		return d
	}
	return least
}

// within reports whether both values changed by no more than so many digits.
func (o *onChange) within(a, b *row, digits float64) bool {
	return math.Abs(b.v-a.v) <= digits*o.volts && math.Abs(b.i-a.i) <= digits*o.amps
}

func (o *onChange) quick(a, b *row) bool { return b.t-a.t <= signOfLife*o.quickest }

// whole reports whether nothing is missing between the first two rows. A change by many digits is
// a step of the charger, or the beginning of something quick; else rows in between are missing.
func (o *onChange) whole(rows []row) bool {
	a, b := &rows[0], &rows[1]
	switch {
	case o.score < maybeOnChange:
		return false
	case o.within(a, b, oneDigit) && !b.repeats(a):
		return true
	}
	quick := len(rows) > 2 && o.quick(b, &rows[2]) && !o.within(b, &rows[2], fewDigits)
	return o.score >= sureOnChange && (o.within(a, b, fewDigits) || switched(a, b) || quick)
}

// news reports, once, that rows are written on change for sure.
func (o *onChange) news() bool {
	told := o.told
	o.told = o.sure
	return o.told && !told
}

// stoodStill takes back what was said of missing rows before there was a current, now that
// rows turn out to be written on change: nothing had changed, so none flowed.
func (m *Machine) stoodStill() {
	c := m.charge
	if m.next != nil {
		c = m.next
	}
	until := math.Inf(1)
	if c != nil {
		until, c.late = c.begin.t, false
	}
	m.book().stoodStill(until)
}

func (l *ledger) stoodStill(until float64) {
	l.gaps = slices.DeleteFunc(l.gaps, func(g Gap) bool { return float64(g.EndS) <= until })
	if l.gapCount = len(l.gaps); l.gapCount == 0 {
		l.notes.withdraw(CodeDataGap)
	}
}

// switched reports whether the current changed at once from one row to the next.
func switched(a, b *row) bool { return isStep(a.i, b.i, 0) }
