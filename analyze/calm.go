package analyze

// Most of a log is calm: rows at a steady pace, a current that flows as before or does
// not flow, nothing near a limit, no question due. Whether it is can be told beforehand,
// for some rows in one go; then each part takes them without asking anything of its own
// (calmcharge.go, calmrest.go). A row that is not calm for certain goes the long way (see
// interval). What comes out is the same to the last bit, since the arithmetic is that of
// the same functions.

// calmRows is how many rows may be told to be calm in one go. Over so many the meter's
// noise, a running median, can about double or halve, and no more.
const calmRows = 32

// calm takes the intervals to come that are calm for certain, and gives how many.
func (m *Machine) calm() (n int) {
	switch {
	case m.next != nil || m.charge == nil || m.doubt.n > 0 || m.out.evidence > 0 || m.out.on,
		m.steps.open.is || m.frozen.on || m.frozen.flowing != m.in.on || !m.wrong.resting(),
		m.volts.n < learned:
		return 0
	case m.in.on:
		if n = m.calmCharge(); n > 0 {
			rows := m.window.calm(n)
			m.charging(rows)
			m.frozen.one.follow(rows[1:])
		}
	default:
		if n = m.calmRest(); n > 0 {
			rows := m.window.calm(n)
			m.pausing(rows)
			m.frozen.one.follow(rows[1:])
		}
	}
	if n > 0 {
		m.frozen.moved(&m.last().row, n)
		m.celsius = m.window.rows[m.window.done+2].celsius
	}
	return n
}

// waiting are the rows of the intervals to come, of which so many at most may be taken in
// one go, with one row before them, and two after as far as they are there.
func (w *window) waiting(atOnce int) []row {
	return w.rows[w.done-1 : min(w.done+atOnce+2, w.n-1)]
}

// calm hands out so many intervals at once: their rows, the first of which is the end of
// the interval before.
func (w *window) calm(n int) []row {
	rows := w.rows[w.done : w.done+n+1]
	w.done += n
	return rows
}

// plain reports whether the interval between the middle two of four rows is nothing to
// look at: as long as those beside it, of one meter, and with readings that neither repeat
// nor tell anything new of how finely they are stepped.
func (m *Machine) plain(rows *[4]row) bool {
	a, b := &rows[1], &rows[2]
	dt := b.t - a.t
	return near(a.t-rows[0].t, dt) && near(rows[3].t-b.t, dt) && !(a.skew > 0 || b.skew > 0) &&
		!b.stands(a.v, a.i) && !m.volts.teaches(a.v, b.v) && !m.amps.teaches(a.i, b.i)
}

// followVolts takes rows that teach a meter of their voltage nothing else, once its noise
// is known roughly.
func (m *meter) followVolts(rows []row) {
	middle, x1, x2 := m.middle, m.x1, m.x2
	for k := range rows {
		x := rows[k].v
		middle = followed(middle, x-2*x1+x2)
		x2, x1 = x1, x
	}
	m.middle, m.x1, m.x2, m.n = middle, x1, x2, m.n+len(rows)
}

// followAmps is the same for one of the current.
func (m *meter) followAmps(rows []row) {
	middle, x1, x2 := m.middle, m.x1, m.x2
	for k := range rows {
		x := rows[k].i
		middle = followed(middle, x-2*x1+x2)
		x2, x1 = x1, x
	}
	m.middle, m.x1, m.x2, m.n = middle, x1, x2, m.n+len(rows)
}
