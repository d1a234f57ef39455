package analyze

import "math"

// This file is about a charge as a whole: how it begins, pauses, goes on, ends and is
// put away.

// How long a pause may be and still belong to the same charge.
const (
	pauseLimit     = 30 * 60 // s
	pauseAfterTail = 5 * 60  // s, once it was complete, before a current that is not a float's
	sameBattery    = 0.90    // of the held voltage: a full battery that starts lower was exchanged for another
	floatsAbove    = 0.93    // of the held voltage: no battery stands there by itself
	holdAcrossGap  = 12 * 3600
	feigned        = 4 // times the noise: what did not even come to that was noise
)

// began: current flows. It is the charge that goes on, or a new one.
func (m *Machine) began(at *mark) {
	m.loaded.ended = true
	m.notice(CodeOpenCircuit, at.t, false, "")
	if c := m.charge; c != nil && !c.flicker.loose(m.opt.Patience) {
		m.clear(c, CodeOpenCircuit, at.t)
	}
	m.dismissDwarfed()
	stood := m.resting
	m.resting.watched = watched{since: afterCharge}
	if c := m.charge; c != nil && c.stopped && m.goesOn(c, at) {
		if c.over {
			c.over = false
			m.ledger.absorb(&m.after)
			m.after = ledger{}
		}
		c.resume(at)
		m.show(m.stageNow(), at.t, "current flows again")
		return
	}
	if m.next != nil {
		m.next.resume(at)
		return
	}
	if m.floats(at) {
		return
	}
	m.next = newCharge(at, m.stoodAt(at), m.room, m.opt.Patience)
	m.next.stood, m.next.filled = stood, m.fullBefore(&stood)
	m.next.broke = m.brokenAt(at, &stood)
	m.room = trace{}
	if at == &m.in.since {
		m.next.onset = at.sum.minus(m.in.before.sum)
	}
	if zero, ok := m.resting.zero(); ok {
		m.in.rested, m.in.seen = zero, true
	}
	m.next.late = m.book().gapBefore(at.t)
	m.rebound(m.next, identity{chemistry: m.opt.Chemistry, cells: m.opt.Cells})
	if m.charge == nil {
		m.next.idleFrom = m.ledger.from.t
		return
	}
	m.next.idleFrom = m.charge.stop().t
	if m.charge.rest.rows > 0 {
		m.next.idleFrom = m.charge.rest.to
	}
	m.charge.rest.ended = true
}

// stoodAt is the voltage of the battery before a charge that begins, V; NaN where none was seen.
// Where nothing hung on the leads since the charge before, and they stood no lower than during
// it, that was the charger's own: a battery's sinks without current.
func (m *Machine) stoodAt(begin *mark) float64 {
	v := m.resting.before(begin.v)
	if c := m.charge; c != nil && c.loose.reason != "" && v >= c.lastVolts() {
		return Unknown()
	}
	return v
}

// floats reports whether a current that dwarfs what flowed until now came while a battery
// was held full: then a load hangs beside it, or the charger looks after it.
func (m *Machine) floats(at *mark) bool {
	c := m.charge
	if c == nil || c.stopped {
		return false
	}
	v := m.view()
	return Known(v.finish) && at.v > sameBattery*v.held
}

// dismissDwarfed forgets a charge that was none: beside the current that now
// begins, what flowed before was the meter's zero. Such a zero may sink, too, while the voltage stands.
func (m *Machine) dismissDwarfed() {
	tiny := func(c *charge) bool {
		return !c.over && dwarfs*c.meanCurrent() < m.in.level && (!c.hold.found || m.mayBeZero(c))
	}
	if m.next != nil && tiny(m.next) {
		m.dismiss()
	}
	if m.charge != nil && tiny(m.charge) {
		if m.mayBeZero(m.charge) {
			m.resting.unbroken(m.charge)
		}
		m.charge, m.seen = nil, nil
	}
}

// mayBeZero reports whether what flowed is no more than a meter's zero may be off by.
func (m *Machine) mayBeZero(c *charge) bool {
	return c.meanCurrent() < surely*larger(larger(leastCurrent, 1.5*m.amps.digit()), m.in.share*m.in.level)
}

// dismiss forgets what had begun and was no charge, but not what was found in it.
func (m *Machine) dismiss() {
	if m.next == nil {
		return
	}
	c := m.next
	m.next = nil
	if m.mayBeZero(c) {
		m.resting.unbroken(c)
	}
	if m.charge == nil && c.trace.highest() < feigned*m.amps.noise() {
		m.in.scale = 0 // noise that flickered is no measure of what counts as a current
	}
	for _, f := range c.findings.list {
		m.clear(c, f.Code, c.stop().t)
	}
	m.book().notes.merge(&c.findings)
}

// goesOn decides whether current that flows again belongs to the same charge.
func (m *Machine) goesOn(c *charge, at *mark) bool {
	v := m.view()
	away := at.t - c.stop().t
	// After a charge was complete, for all that was seen: the holding current of a float
	// at its voltage, any time; more only as a charger's short look.
	held, done := v.held, Known(v.finish)
	if !done && c.mayBeDone(v) {
		held, done = c.highestVolts(v), true
	}
	if done && m.in.level <= larger(floatCurrent/2*v.set, v.limit.at(c.went())) && at.v > 0.88*held && away <= holdAcrossGap {
		return true
	}
	if !Known(v.finish) {
		return !c.over && !m.pausedTooLong(c, at.t)
	}
	// On float the voltage stands however much a load beside the battery takes.
	floats := v.endedBy == EndFloat && at.v > floatsAbove*v.held || v.id.cells > 0 && v.id.chemistry.Lead() && at.v > leadByItself*float64(v.id.cells)
	if floats && c.rest.rows > 0 && math.Abs(at.v-c.rest.last) < restSlack(&m.volts, v.held) && away <= holdAcrossGap {
		return true
	}
	before := v.held
	if !Known(before) {
		before = c.maxVolts // nickel
		if m.in.level <= floatCurrent*c.most {
			before = c.lastVolts() // a trickle goes on from where it had come to, which may be far below the peak
		}
	}
	return !c.over && away <= pauseAfterTail && at.v > sameBattery*before
}

// pausedTooLong tells whether a charge has paused for so long that it is over. While
// the source was lost nobody knows what the charger did: only what was seen counts,
// but for a loss that is itself as long as a pause may be. One that began in a pause as
// this charger makes them is like one that began in mid-charge.
func (m *Machine) pausedTooLong(c *charge, now float64) bool {
	away := now - c.stop().t
	return away > pauseLimit && away-m.ledger.unseen(c.stop().t, c.pauses.usual()) > pauseLimit
}

// stopped: no current flows any more after a row, in the next one.
func (m *Machine) stopped(at, next *mark) {
	unseen := m.book().gapAfter(at.t)
	switch {
	case m.next != nil:
		m.next.pause(at, next, unseen)
	case m.charge != nil && !m.charge.stopped:
		m.charge.pause(at, next, unseen)
		m.charge.look(&m.opt, &m.volts, &m.amps)
		m.seen = nil
		m.stages()
		m.watch(m.charge)
	}
}

// reference is the charge that "nothing to speak of" is measured against, C: the
// rated capacity, or else the last charge in the log.
func (m *Machine) reference() float64 {
	if m.opt.Capacity > 0 {
		return m.opt.Capacity
	}
	if m.charge != nil {
		return m.charge.went()
	}
	return 0
}

// promote makes the charge begun the one under way; the one before it is closed.
func (m *Machine) promote() {
	c := m.next
	m.next = nil
	c.before = m.restBefore(c)
	if m.charge != nil {
		m.close(&c.broke)
		c.ahead = m.charge.ahead[:0]
	}
	m.charge, m.seen = c, nil
	c.look(&m.opt, &m.volts, &m.amps)
	m.tellOf(SessionBegan, c.begin.t, c)
	m.show(ConstantCurrent, c.begin.t, m.view().whyCurrent(c))
	m.stages()
}

// over: the charge will not go on. What happens from its last current on is kept
// apart, since it belongs to the next one, if there is one.
func (m *Machine) over() {
	c := m.charge
	c.over = true
	if !c.hold.found && c.pauses.count > 0 { // only now it is known that this was no pause
		v := c.view(&m.opt, &m.volts, &m.amps)
		m.seen = &v
	}
	m.after = ledger{from: mark{c.stop().row, c.spent}}
	m.show(Rest, c.stop().t, "no current any more")
	m.ceased(c)
	m.tellOf(SessionOver, c.stop().t, c)
}

// close puts a charge away for good. The one that follows goes on with it where it was broken off: that
// the current was gone has then cleared.
func (m *Machine) close(broke *broken) {
	c := m.charge
	if !c.stopped { // a current that dwarfs its own began: to that it has ended
		last := c.trace.end
		c.pause(&last, &last, false)
		m.seen = nil
	}
	if !c.over {
		m.over()
	}
	s := m.session(c, false)
	if f := broke.goesOn(&s); f != nil {
		m.tell(Event{Kind: FindingCleared, At: broke.until, Finding: *f, Session: &s})
	}
	m.closed = append(m.closed, s)
	m.room = c.trace
	m.after.notes.goOn(&m.ledger.notes)
	m.ledger, m.after = m.after, ledger{}
	m.tell(Event{Kind: SessionClosed, At: c.stop().t, Session: &s})
}
