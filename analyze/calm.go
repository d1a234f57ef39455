package analyze

// Most of a log is calm: rows at a steady pace, a current that flows as before or does
// not flow, nothing near a limit, no question due. Whether it is can be told beforehand,
// for some rows in one go; then each part takes them without asking anything of its own
// (calmcharge.go, calmrest.go). A row that is not calm for certain goes the long way (see
// interval). What comes out is the same to the last bit, since the arithmetic is that of
// the same functions.

// calmRows is how many rows may be told to be calm in one go. Over so many the meter's
// noise, a running median, can become calmNoise times as large or small, and no more.
const calmRows, calmNoise = 64, 4

// calm takes the intervals to come that are calm for certain, and gives how many.
func (m *Machine) calm() (n int) {
	switch {
	case m.next != nil || m.charge == nil || m.doubt.n > 0 || m.out.evidence > 0 || m.out.on,
		m.steps.open.is || m.frozen.on || m.frozen.flowing != m.in.on || !m.wrong.resting(),
		m.volts.n < learned:
		return 0
	case m.in.on:
		if n = m.untilMoved(m.calmCharge()); n > 0 {
			rows := m.window.calm(n)
			m.charging(rows)
			m.frozen.follow(rows[1:])
		}
	default:
		if n = m.untilMoved(m.calmRest()); n > 0 {
			rows := m.window.calm(n)
			m.pausing(rows)
			m.frozen.follow(rows[1:])
		}
	}
	if n > 0 {
		m.celsius = m.window.rows[m.window.done+2].celsius
	}
	return n
}

// waiting are the rows of the intervals to come, of which so many at most may be taken in
// one go, with one row before them, and two after as far as they are there.
func (w *window) waiting(atOnce int) []row {
	return w.rows[w.done-1 : min(w.done+atOnce+2, w.n-1)]
}

// until is about how many of the intervals to come end before a time, s.
func (w *window) until(t float64) int {
	a, b := &w.rows[w.done], &w.rows[w.done+1]
	return int(larger(0, smaller((t-a.t)/(b.t-a.t), calmRows))) + 1
}

// untilMoved is so many of the intervals to come without the last of them over which readings stand. What
// it takes to tell whether they may is asked where they begin to, of all that went before. Where they stood
// already, all of them may stand on.
func (m *Machine) untilMoved(n int) int {
	rows, k := m.window.rows[m.window.done:], n
	for k > 0 && rows[k].stands(rows[k-1].v, rows[k-1].i) {
		k--
	}
	if k == 0 && m.frozen.run > 0 {
		return n
	}
	return k
}

// calm hands out so many intervals at once: their rows, behind the last two of the intervals
// before.
func (w *window) calm(n int) []row {
	rows := w.rows[w.done-1 : w.done+n+1]
	w.done += n
	return rows
}

// plain is how many intervals are nothing to look at, of those that begin with the second of
// these rows: as long as those beside them, of one meter, and with readings that neither repeat so
// often that they may hang, nor tell anything new of how finely they are stepped.
func (m *Machine) plain(rows []row) int {
	if len(rows) < 4 || rows[1].skew > 0 {
		return 0
	}
	volts, amps, stand := m.volts.teaching, m.amps.teaching, m.frozen.mayStand()
	a, b := &rows[1], &rows[2]
	before, dt := a.t-rows[0].t, b.t-a.t
	rows = rows[3:]
	for n := range rows {
		next := &rows[n]
		after := next.t - b.t
		if least, most := dt*(1-onBeat), dt*(1+onBeat); !(before > least && before < most && after > least && after < most) {
			return n
		}
		v, i := distance(a.v, b.v), distance(a.i, b.i)
		if stand -= int((v | i - 1) >> 63); stand < 0 || v-1 < volts || i-1 < amps || b.skew > 0 {
			return n
		}
		a, b, before, dt = b, next, dt, after
	}
	return len(rows)
}

// learned takes what was made of the scatter of all rows but the first two, as they teach the
// meters nothing else.
func (m *Machine) learned(rows []row, volts, amps float64) {
	n := len(rows) - 2
	x, y := &rows[n], &rows[n+1]
	m.volts.middle, m.volts.x2, m.volts.x1, m.volts.n = volts, x.v, y.v, m.volts.n+n
	m.amps.middle, m.amps.x2, m.amps.x1, m.amps.n = amps, x.i, y.i, m.amps.n+n
}
