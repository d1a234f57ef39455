package analyze

import "math"

// Most of a log is calm: rows at a steady pace, a current that flows as before,
// nothing near a limit, no question due. Whether it is can be told beforehand, for
// some rows in one go; then each part takes them without asking anything of its own.
// A row that is not calm for certain goes the long way (see interval). What comes out
// is the same to the last bit, since the arithmetic is that of the same functions.

// calmRows is how many rows may be told to be calm in one go. Over so many the meter's
// noise, a running median, can about double or halve, and no more.
const calmRows = 32

// calm is how many of the intervals to come are calm for certain.
func (m *Machine) calm() int {
	switch {
	case !m.started || m.next != nil || m.doubt.n > 0 || m.window.done == 0,
		m.in.evidence > 0 || m.out.evidence > 0 || m.out.on || m.in.leaps > 0,
		m.steps.open.is || m.steps.n == 0 || m.frozen.on || m.frozen.flowing != m.in.on || !m.wrong.resting(),
		m.volts.n < learned || m.amps.n < learned:
		return 0
	case m.in.on:
		return m.calmCharge()
	}
	return 0
}

// calmCharge is the same while a charge goes on.
func (m *Machine) calmCharge() (n int) {
	c, w := m.charge, &m.window
	if c == nil || c.stopped || c.over || c.alert || c.loose.above > 0 || len(c.trace.bins) < fewBins || m.in.scale < m.in.level {
		return 0
	}
	// The level of the current stays between the least and the most of its rows. While
	// half the most is less than the least, and that is beyond all noise, no row speaks
	// for the current having stopped.
	least, most := m.in.level, m.in.level
	least, most = smaller(least, w.rows[w.done].i), larger(most, w.rows[w.done].i)
	floor := larger(larger(m.band(), 2*noiseShare*m.in.scale), larger(leastCurrent, 1.5*m.amps.digit()))
	step := stepNoises * larger(leastCurrent, larger(m.amps.step(), m.amps.noise()/2))
	calmVolts := c.calmVolts()
	closing, room := c.trace.closing(), traceBins-len(c.trace.bins)
	for ; n < m.atOnce && w.done+n+3 < w.n; n++ {
		rows := w.rows[w.done+n-1 : w.done+n+3]
		a, b := &rows[1], &rows[2]
		if !steadyPace(rows) || a.skew > 0 || b.skew > 0 || b.repeats(a) || m.volts.teaches(a.v, b.v) || m.amps.teaches(a.i, b.i) {
			break
		}
		if b.v > calmVolts || !(b.v > reversedVolts) || b.celsius > c.bounds.hottest || b.celsius < c.bounds.coldest {
			break
		}
		least, most = smaller(least, b.i), larger(most, b.i)
		if d := math.Abs(b.i - a.i); !(least > floor && 2*least > most) || d >= step && d >= stepShare*math.Abs(a.i) {
			break
		}
		if b.t >= closing {
			if room == 0 || b.t-c.asked >= slowQuestionsAt {
				break
			}
			closing, room = b.t+c.trace.width, room-1
		}
	}
	return n
}

// calmVolts is the voltage up to which nothing is amiss on charge, V; NaN if any is.
func (c *charge) calmVolts() float64 {
	v := c.bounds.leastVolts
	if held := c.hold.volts * (1 + looseAbove); c.hold.found && !(v < held) {
		v = held
	}
	return v
}

// charging takes so many calm intervals of a charge.
func (m *Machine) charging(n int) {
	c, w := m.charge, &m.window
	tr := &c.trace
	for k := range n {
		a, b := &w.rows[w.done], &w.rows[w.done+1]
		w.done++
		m.steps.keep(b)
		m.sum.flowOn(a, b, m.amps.noise())
		m.highest = larger(m.highest, b.v)
		m.volts.follow(b.v)
		m.amps.follow(b.i)
		if k >= n-2 {
			m.advance(b)
		}
		m.out.scale = larger(m.out.scale, m.in.scale)
		m.in.follow(b.i)
		c.maxVolts = larger(c.maxVolts, b.v)
		c.warmed(b)
		if bin := &tr.bins[len(tr.bins)-1]; bin.holds(b.t, tr.width) {
			bin.add(b)
		} else {
			tr.open(b, &m.sum)
		}
	}
	tr.end.set(m.last())
	m.frozen.moved(&m.last().row, n)
}
