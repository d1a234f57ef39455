package analyze

import "math"

// A calm current stays between these, as shares of what it is at first: the most is less than twice
// the least.
const calmLeast, calmMost = 0.7, 1.39

// calmCharge is how many of the intervals to come are calm for certain while a charge
// goes on.
func (m *Machine) calmCharge() int {
	c, w := m.charge, &m.window
	if c.stopped || c.alert || m.in.mixed > 0 || m.in.stood < stoodRows || c.loose.above > 0 || c.flicker.times > 0 || len(c.trace.bins) < fewBins || m.in.scale < m.in.level {
		return 0
	}
	// The level of the current stays between the least and the most of its rows. While
	// half the most is less than the least, and that is beyond all noise, no row speaks
	// for the current having stopped.
	offset := m.in.offset
	first := w.rows[w.done].i - offset
	middle := larger(m.in.level, first)
	floor := larger(larger(m.band(), 2*noiseShare*m.in.scale), larger(leastCurrent, 1.5*m.amps.digit()))
	least, most := larger(floor, calmLeast*middle), calmMost*middle
	if !(smaller(m.in.level, first) > least) {
		return 0
	}
	step := stepNoises * larger(leastCurrent, larger(m.amps.step(), m.amps.noise()/calmNoise))
	calmVolts, coldest, hottest := c.calmVolts(), c.bounds.coldest, c.bounds.hottest
	closing, room := c.trace.closing(), traceBins-len(c.trace.bins)
	rows := w.waiting(min(m.atOnce, w.until(larger(closing, c.asked+slowQuestionsAt))))
	plain := m.plain(rows)
	if plain == 0 {
		return 0
	}
	a, rows := &rows[1], rows[2:plain+2]
	for n := range rows {
		b := &rows[n]
		if b.v > calmVolts || !(b.v > 0) || b.celsius > hottest || b.celsius < coldest {
			return n
		}
		if i := b.i - offset; !(i > least && i < most) {
			return n
		}
		if d := math.Abs(b.i - a.i); d >= step && d >= stepShare*math.Abs(a.i) {
			return n
		}
		if b.t >= closing {
			if room == 0 || b.t-c.asked >= slowQuestionsAt {
				return n
			}
			closing, room = b.t+c.trace.width, room-1
		}
		a = b
	}
	return plain
}

// calmVolts is the voltage up to which nothing is amiss on charge, V; NaN if any is.
func (c *charge) calmVolts() float64 {
	v := c.bounds.leastVolts
	if held := c.hold.volts * (1 + looseAbove); c.hold.found && !(v < held) {
		v = held
	}
	return v
}

// charging takes calm rows of a charge, all but the first two of these, which were taken before.
func (m *Machine) charging(rows []row) {
	c := m.charge
	m.out.scale = larger(m.out.scale, m.in.scale)
	sums := m.flowOn(rows)
	rows = rows[2:]
	m.steps.follow(rows)
	c.maxVolts = larger(c.maxVolts, c.trace.follow(rows, sums))
	m.highest = larger(m.highest, c.maxVolts)
	for k := range rows {
		c.warmed(&rows[k])
	}
	for k := max(len(rows)-2, 0); k < len(rows); k++ {
		m.passed(&rows[k], &sums[k])
	}
	c.trace.end.set(m.last())
}

// flowOn adds up what flows in between rows of a current that goes on, and learns of it and of
// the voltage from them: together, since each sum waits for itself. Two rows go before. It gives
// what had flowed by each of the others.
func (m *Machine) flowOn(rows []row) []totals {
	t, flow := &m.sum, &m.in
	in, energy, onTime, variance := t.in, t.energy, t.onTime, t.variance
	volts, amps := m.volts.middle, m.amps.middle
	level, scale, offset := flow.level, flow.scale, flow.offset
	z, a := &rows[0], &rows[1]
	later := rows[2:]
	sums := m.sums[:len(later)]
	for k := range later {
		b := &later[k]
		dt := b.t - a.t
		q, e := trapezoid(a, b, dt)
		in += q
		energy += e
		onTime += dt
		noise := amps / secondDifferenceMedian
		variance += noise * noise * dt * dt
		by := &sums[k]
		by.in, by.out, by.energy, by.given, by.onTime, by.variance = in, t.out, energy, t.given, onTime, variance
		amps = followed(amps, b.i-2*a.i+z.i)
		volts = followed(volts, b.v-2*a.v+z.v)
		level += (b.i - offset - level) / levelRows
		scale = larger(scale, level)
		z, a = a, b
	}
	t.in, t.energy, t.onTime, t.variance = in, energy, onTime, variance
	flow.level, flow.scale = level, scale
	m.learned(rows, volts, amps)
	return sums
}
