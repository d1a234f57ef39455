package analyze

import "math"

// calmCharge is how many of the intervals to come are calm for certain while a charge
// goes on.
func (m *Machine) calmCharge() (n int) {
	c, w := m.charge, &m.window
	if c.stopped || c.alert || m.in.mixed > 0 || m.in.stood < stoodRows || c.loose.above > 0 || c.flicker.times > 0 || len(c.trace.bins) < fewBins || m.in.scale < m.in.level {
		return 0
	}
	// The level of the current stays between the least and the most of its rows. While
	// half the most is less than the least, and that is beyond all noise, no row speaks
	// for the current having stopped.
	least, most := m.in.level, m.in.level
	first := w.rows[w.done].i - m.in.offset
	least, most = smaller(least, first), larger(most, first)
	floor := larger(larger(m.band(), 2*noiseShare*m.in.scale), larger(leastCurrent, 1.5*m.amps.digit()))
	step := stepNoises * larger(leastCurrent, larger(m.amps.step(), m.amps.noise()/2))
	calmVolts, coldest, hottest := c.calmVolts(), c.bounds.coldest, c.bounds.hottest
	closing, room := c.trace.closing(), traceBins-len(c.trace.bins)
	for rows := w.waiting(m.atOnce); n+4 <= len(rows); n++ {
		four := (*[4]row)(rows[n:])
		a, b := &four[1], &four[2]
		if !m.plain(four) || b.v > calmVolts || !(b.v > reversedFlowing) || b.celsius > hottest || b.celsius < coldest {
			break
		}
		i := b.i - m.in.offset
		least, most = smaller(least, i), larger(most, i)
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

// charging takes calm rows of a charge. The first was taken before.
func (m *Machine) charging(rows []row) {
	c, last := m.charge, len(rows)-1
	m.out.scale = larger(m.out.scale, m.in.scale)
	m.steps.follow(rows[1:])
	m.volts.followVolts(rows[1:])
	for k := range rows[1:] {
		b := &rows[k+1]
		c.maxVolts = larger(c.maxVolts, b.v)
		c.warmed(b)
	}
	m.highest = larger(m.highest, c.maxVolts)
	if last > 1 {
		m.chargeOn(rows[:last])
		m.advance(&rows[last-1])
	}
	m.chargeOn(rows[last-1:])
	m.advance(&rows[last])
	c.trace.end.set(m.last())
}

// chargeOn adds them up, from one bin of the trace to the next.
func (m *Machine) chargeOn(rows []row) {
	tr := &m.charge.trace
	for len(rows) > 1 {
		n := tr.holds(rows[1:])
		if n > 0 {
			m.flowOn(rows[:n+1])
			tr.bins[len(tr.bins)-1].follow(rows[1 : n+1])
		} else {
			n = 1
			m.flowOn(rows[:2])
			tr.open(&rows[1], &m.sum)
		}
		rows = rows[n:]
	}
}

// flowOn adds up what flows in between rows of a current that goes on, and learns of it
// from them.
func (m *Machine) flowOn(rows []row) {
	t, meter, flow := &m.sum, &m.amps, &m.in
	in, energy, onTime, variance := t.in, t.energy, t.onTime, t.variance
	middle, x1, x2 := meter.middle, meter.x1, meter.x2
	level, scale, offset := flow.level, flow.scale, flow.offset
	for k := range rows[1:] {
		a, b := &rows[k], &rows[k+1]
		dt := b.t - a.t
		q, e := trapezoid(a, b, dt)
		in += q
		energy += e
		onTime += dt
		noise := middle / secondDifferenceMedian
		variance += noise * noise * dt * dt
		middle = followed(middle, b.i-2*x1+x2)
		x2, x1 = x1, b.i
		level += (b.i - offset - level) / levelRows
		scale = larger(scale, level)
	}
	t.in, t.energy, t.onTime, t.variance = in, energy, onTime, variance
	meter.middle, meter.x1, meter.x2, meter.n = middle, x1, x2, meter.n+len(rows)-1
	flow.level, flow.scale = level, scale
}
