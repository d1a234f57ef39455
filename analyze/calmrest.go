package analyze

import "math"

// calmRest is how many of the intervals to come are calm for certain while no current
// flows after a charge.
func (m *Machine) calmRest() (n int) {
	c, w, v := m.charge, &m.window, m.view()
	a := &w.rows[w.done]
	if c.alert || c.flicker.times > 0 || m.nobody.off || m.zero.n < learned || w.rows[w.done+1].t-a.t > pauseLimit/4 {
		return 0
	}
	// A rest that is over is no longer looked at.
	watched := !c.rest.ended
	highest, gone, sunk := math.Inf(1), c.nothing(), math.Inf(1)
	after := m.loaded.goesOn()
	if after {
		if m.loaded.to != a.t {
			return 0
		}
		gone = larger(gone, m.loaded.nothing())
	}
	if watched {
		if c.rest.to != a.t || c.rest.edge.t > 0 || !c.loose.calm() {
			return 0
		}
		highest, sunk = c.highestVolts(v), c.surelySunk(v, &m.volts, &m.amps)
		gone = larger(gone, larger(c.goneVolts(a.t), highest*looseGone))
	}
	calmVolts := smaller(smaller(c.bounds.leastVolts, highest*(1+looseAbove)), sunk)
	quiet := m.calmBand()
	if !quiet.holds(a.i) {
		return 0
	}
	until := a.t + 0.99*(quietSeconds-m.quiet.seconds)
	if !c.over {
		until = smaller(until, c.stop().t+pauseLimit)
	}
	atOnce := min(m.atOnce, quietRows-1-m.quiet.rows)
	rows := w.waiting(atOnce)
	for plain := m.plain(rows); n < plain; n++ {
		a, b := &rows[n+1], &rows[n+2]
		if b.v > calmVolts || !(b.v > reversedVolts) || b.celsius > c.bounds.hottest || b.celsius < c.bounds.coldest || b.t > until {
			break
		}
		quiet.narrow()
		if !quiet.holds(b.i) || m.zero.teaches(a.i, b.i) || math.Abs(b.i-a.i) >= stepNoises*leastCurrent {
			break
		}
		if b.v < gone || (watched || after) && a.v-b.v > heldSlack*b.v || watched && math.Abs(b.v-a.v) > looseJump*highest {
			break
		}
	}
	return n
}

// calmBand is a band of currents about zero, A, that are inside the meter's zero band for
// certain, and of which neither direction's flow has anything to say.
type calmBand struct {
	noise, least float64 // what the zero band is as far as noise makes it, and at least
	in, out      float64
	offset       float64 // what the meter shows without current
}

func (m *Machine) calmBand() calmBand {
	return calmBand{
		noise: 4 * m.zero.noise(), least: larger(1.5*m.zero.step(), 1.5*m.amps.step()),
		offset: m.in.offset,
		in:     m.in.offset + larger(leastCurrent, m.in.share*m.in.scale),
		out:    larger(leastCurrent, m.out.share*m.out.scale),
	}
}

// narrow is as far as the meter's noise can fall with one row more, and then some.
func (q *calmBand) narrow() { q.noise *= 1 - 1.05*medianPace }

func (q *calmBand) holds(amps float64) bool {
	return larger(math.Abs(amps), math.Abs(amps-q.offset)) < larger(q.noise, q.least) && amps <= q.in && -amps <= q.out
}

// pausing takes calm rows of a rest, all but the first two of these, which were taken before.
func (m *Machine) pausing(rows []row) {
	c := m.charge
	m.pauseOn(rows)
	rows = rows[2:]
	m.steps.follow(rows)
	m.resting.follow(rows)
	for k := range rows {
		m.highest = larger(m.highest, rows[k].v)
	}
	m.loaded.follow(rows)
	if !c.rest.ended {
		c.rest.follow(rows, &c.stop().row)
		c.loose.follow(rows)
	}
	for k := max(len(rows)-2, 0); k < len(rows); k++ {
		m.advance(&rows[k])
	}
}

// pauseOn adds up what flows while nothing seems to, and learns from it, as flowOn does. Rows that told
// nothing of the zero may have gone before.
func (m *Machine) pauseOn(rows []row) {
	q := m.quiet
	volts, amps := m.volts.middle, m.amps.middle
	zero, x1, x2 := m.zero.middle, m.zero.x1, m.zero.x2
	z, a := &rows[0], &rows[1]
	later := rows[2:]
	for k := range later {
		b := &later[k]
		q.count(a, b)
		volts = followed(volts, b.v-2*a.v+z.v)
		amps = followed(amps, b.i-2*a.i+z.i)
		zero = followed(zero, b.i-2*x1+x2)
		x2, x1 = x1, b.i
		z, a = a, b
	}
	m.quiet = q
	m.learned(rows, volts, amps)
	m.zero.middle, m.zero.x1, m.zero.x2, m.zero.n = zero, x1, x2, m.zero.n+len(rows)-2
}
