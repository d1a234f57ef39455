package analyze

// Learn takes what has come to be known of the battery since the machine was made: its
// chemistry, cells and capacity, and its earlier nights. It holds from now on, for a
// charge under way too; the other options stay.
func (m *Machine) Learn(o Options) {
	if m.charge != nil {
		m.charge.foretold() // of what was seen before, by what was known then
	}
	m.opt.Chemistry, m.opt.Cells, m.opt.Capacity, m.opt.Earlier = o.Chemistry, o.Cells, o.Capacity, o.Earlier
	m.seen = nil
	if m.charge != nil {
		m.rebound(m.charge, m.view().id)
	}
	if m.next != nil {
		m.rebound(m.next, identity{chemistry: o.Chemistry, cells: o.Cells})
	}
}
