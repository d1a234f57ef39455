package analyze

// Starting reports since when, s, current has flowed in that belongs to no charge yet. What
// is sustained can be told from a pulse only after two minutes (see charge.sustained), and
// meanwhile nobody should hear that nothing flows. The latest rows count at once where their
// current is more than any meter's zero is off by.
func (m *Machine) Starting() (since float64, ok bool) {
	switch {
	case m.next != nil && !m.next.stopped && m.moreThanZero(m.next):
		return m.next.begin.t, true
	case m.charge != nil && !m.charge.over:
		return 0, false
	}
	least := surely * m.in.least(m.amps.noise(), m.amps.step())
	for k := m.window.n - 1; k >= 0 && m.window.rows[k].i-m.in.offset > least; k-- {
		since, ok = m.window.rows[k].t, true
	}
	return since, ok
}
