package analyze

import (
	"fmt"
	"math"
)

// restOrigin is what was last seen to happen to a battery before it stood without current.
type restOrigin int

const (
	unwatched   restOrigin = iota // nothing: the log began, or rows were missing
	afterLoad                     // it was discharged
	afterCharge                   // or charged
)

// watched is for how long a battery was seen to stand without current, and how its voltage moved.
type watched struct {
	since       restOrigin
	rows        float64
	from        float64 // s, the first of them
	first, told float64 // V, s: the smoothed voltage once enough rows have come for it
	last        float64 // s
}

// row takes the voltage of a row, as smoothed by then.
func (w *watched) row(t, volts float64) {
	if w.rows == 0 {
		w.from = t
	}
	if w.rows++; w.rows == restingRows {
		w.first, w.told = volts, t
	}
	w.last = t
}

// What nobody saw before the log began may go on to settle. A voltage that moves along the
// logarithm of the time since the battery was used, as far as anybody has found (reference,
// section 9: the time constant grows with the time), moves by rate x t x ln(day/t) until the day
// has passed after which it counts as settled. Whatever t was, that is no more than this time, s,
// multiplied by the rate.
const unsettledFor = settledAfter / math.E

// vagueBefore is how unsure a voltage may be and still be given, as a share (95 %): more than
// that lies between a full battery and an empty one (common practice, no source).
const vagueBefore = 0.05

// restBefore is what the voltage before a charge says, for it is how empty the battery was; nil
// where no battery was seen without current.
func (m *Machine) restBefore(c *charge) *RestFit {
	w := &c.stood.watched
	if !Known(c.resting) || w.rows < 2 {
		return nil
	}
	switch {
	case w.since == afterCharge && m.charge != nil && m.charge.rest.to-m.charge.rest.from >= leastRest:
		return m.charge.rest.settles("the charge before", &m.opt, &m.volts)
	case w.since == afterLoad && m.loaded.to-m.loaded.from >= leastRest:
		return m.loaded.settles("the discharge before", &m.opt, &m.volts)
	}
	f := newRestFit(w.last-w.from, c.resting)
	if w.since != unwatched || w.rows <= restingRows || !m.asItStood(f, &c.stood) {
		f.Method = fmt.Sprintf("stood without current for %s before the charge: too short to tell what it would settle at", clock(w.last-w.from))
	}
	return f
}

// asItStood fills in what a voltage would be after a day that was seen to move by so much; it is
// false where that leaves all open.
func (m *Machine) asItStood(f *RestFit, s *resting) bool {
	w := &s.watched
	row := math.Hypot(m.volts.noise()/math.Sqrt(restingRows/2), stuckDigit(m.volts.noise(), m.volts.step()))
	moved := math.Abs(s.volts - w.first)
	rate := math.Hypot(moved, math.Sqrt2*row) / (w.last - w.told)
	u := math.Sqrt(squared(rate*unsettledFor/math.Sqrt(3)) + row*row + squared(m.opt.Voltage.u(s.volts, m.volts.step())))
	if 2*u > vagueBefore*s.volts {
		return false
	}
	f.SettledV, f.SettledVU95 = Number(s.volts), Number(2*u)
	f.Method = fmt.Sprintf("stood without current for %s before the charge, moving by %.0f mV; what went before was not seen, so it may go on to move for a day%s. ",
		clock(w.last-w.from), 1000*moved, m.opt.Voltage.words())
	return true
}
