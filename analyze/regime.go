package analyze

import "math"

// This file is about one row: does current flow in it, and whom does it belong to.

// regime asks whether current flows, in or out, and passes the row on.
func (m *Machine) regime() {
	before, now, amps := m.before(), m.last(), &m.amps
	m.nobodyThere(&now.row)
	// What flows out is measured against what flows in: a zero that is a little
	// below zero is no discharge beside a charger's current.
	m.out.scale = larger(m.out.scale, m.in.scale)
	switch at := m.out.push(-now.i, before, now, amps); {
	case at == nil:
	case m.out.on:
		m.discharging()
	default:
		m.loaded.begin(at)
	}
	at := m.in.push(now.i, before, now, amps)
	if !m.in.on && !m.out.on && m.in.evidence == 0 && m.out.evidence == 0 {
		m.zero.push(now.i)
	}
	switch {
	case at != nil && m.in.on:
		m.hush()
		m.began(at)
		for _, d := range m.doubt.take() {
			if d.t > at.t {
				m.flowing(&d)
			}
		}
		m.flowing(now)
	case at != nil:
		m.stopped(at, &m.in.since)
		since := m.doubt.take()
		shown := meanAfter(at.t, since, now)
		m.in.zeroed(shown, amps)
		m.ended(shown)
		for k := range since {
			if since[k].t > at.t {
				m.idle(&since[k])
			}
		}
		m.idle(now)
	case m.in.evidence > 0 || m.in.leaps > 0:
		if old, full := m.doubt.add(now); full {
			m.pass(&old)
		}
	default:
		if m.doubt.n > 0 {
			for _, d := range m.doubt.take() {
				m.pass(&d)
			}
		}
		m.pass(now)
	}
}

// meanAfter is the mean current of the rows after t and of the one now, A.
func meanAfter(t float64, rows []mark, now *mark) float64 {
	sum, n := now.i, 1.0
	for k := range rows {
		if rows[k].t > t {
			sum += rows[k].i
			n++
		}
	}
	return sum / n
}

// pass gives a row to whoever it belongs to, current or no current.
func (m *Machine) pass(r *mark) {
	if m.in.on {
		m.flowing(r)
		return
	}
	m.idle(r)
}

// flowing takes a row with current.
func (m *Machine) flowing(r *mark) {
	c := m.charge
	if m.next != nil {
		c = m.next
	}
	if c == nil {
		return
	}
	m.steadied(c, r.t)
	if m.flickers(c, r) {
		return
	}
	ask := c.add(r)
	c.warmed(&r.row)
	m.hazards(c, &r.row, true)
	if !ask {
		return
	}
	if c == m.next {
		if c.look(&m.opt, &m.volts, &m.amps); m.isCharge(c) {
			m.promote()
		}
		return
	}
	if m.look(c, r.t) || c.mayFinish(m.view(), &m.amps) || m.view().id.onTheWay && c.trace.tapersOff(c.hold.kept) {
		m.seen = nil
		m.stages()
	}
	if r.t >= c.watched+slowQuestionsAt {
		m.watch(c)
	}
}

// idle takes a row without current.
func (m *Machine) idle(r *mark) {
	if m.next != nil && r.t-m.next.stop().t > pauseAfterTail {
		m.dismiss()
	}
	quiet := math.Abs(r.i-m.in.offset) <= larger(m.band(), m.out.least(m.amps.noise(), m.amps.step()))
	if quiet && !m.out.on {
		m.loaded.add(r)
	}
	// A drain that may be the meter's own zero takes nothing from what the voltage says.
	if quiet && !m.out.on || math.Abs(r.i) <= surely*larger(leastCurrent, 1.5*m.amps.digit()) {
		m.resting.push(r.t, r.v)
		m.resting.show(r.i)
	}
	c := m.charge
	if c == nil {
		return
	}
	m.hazards(c, &r.row, false)
	m.steadied(c, r.t)
	if m.out.on || !quiet {
		return
	}
	if c.rest.ended {
		m.staysAway(c, r.t)
		return
	}
	if c.rest.another(&r.row) {
		c.rest.ended = true
		if !c.over {
			m.over()
		}
		return
	}
	if c.rest.rows == 0 {
		m.flickers(c, r) // for longer than a row
	}
	if !c.rest.taken(&r.row, &c.stop().row, c.nothing()) {
		c.rest.heed(&r.row, restSlack(&m.volts, r.v))
		c.rest.add(&r.row, &c.stop().row)
	}
	m.loosened(c, r)
	c.rest.ended = c.rest.takenAway() && c.loose.reason == ""
	m.staysAway(c, r.t)
}

// staysAway ends a charge whose current has been away for too long, as of a time, s.
func (m *Machine) staysAway(c *charge, now float64) {
	if !c.over && m.pausedTooLong(c, now) {
		m.over()
	}
}

// discharging: current flows out. That ends a charge that had paused, unless it may be the meter's zero.
func (m *Machine) discharging() {
	if m.out.level < surely*larger(leastCurrent, 1.5*m.amps.digit()) {
		return
	}
	if c := m.charge; c != nil && c.stopped {
		c.rest.ended = true
		if !c.over {
			m.over()
		}
	}
	m.dismiss()
	m.resting = resting{watched: watched{since: afterLoad}}
}
