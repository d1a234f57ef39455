package analyze

// judge adds the findings that look at a charge as a whole.
func (m *Machine) judge(c *charge, v *view, s *Session, f *findings) {
	c.pauses.report(f, v.finish, c.over || Known(v.finish), m.opt.Patience)
	c.broke.report(f, m.opt.Patience)
	powerLimited(c, v, f, m.opt.Patience)
	if s.Outcome == CutShort {
		currentDropped(c, v, &m.opt, &m.volts, &m.amps, m.last().t, f)
	}
}
