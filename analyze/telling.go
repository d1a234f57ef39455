package analyze

// This file is about what is told: stages and findings, when they are news, and what is taken back.

// book is the ledger for what happens now.
func (m *Machine) book() *ledger {
	if m.charge != nil && m.charge.over {
		return &m.after
	}
	return &m.ledger
}

// noted tells of a finding in the ledger, if it is news.
func (m *Machine) noted(news bool, code string) {
	if news {
		g := *m.book().notes.find(code)
		m.tell(Event{Kind: FindingRaised, At: float64(g.AtS), Finding: g})
	}
}

// notice raises or clears a finding that belongs to the log rather than to one
// charge, and tells of it if it is news. It clears where it was raised: the charge may be over since.
func (m *Machine) notice(code string, at float64, holds bool, message string) {
	notes := &m.book().notes
	if m.ledger.notes.holds(code) {
		notes = &m.ledger.notes
	}
	switch {
	case holds && notes.raise(code, at, message):
		m.tell(Event{Kind: FindingRaised, At: at, Finding: *notes.find(code)})
	case !holds && notes.clear(code, at):
		m.tell(Event{Kind: FindingCleared, At: at, Finding: *notes.find(code)})
	}
}

// stages tells of stages that were seen to have begun.
func (m *Machine) stages() {
	v := m.view()
	switch m.stageNow() {
	case ConstantVoltage:
		m.show(ConstantVoltage, v.cv, v.whyVoltage(m.charge))
	case Finish:
		m.show(Finish, v.finish, v.finishWhy)
	}
}

// look asks the slow questions of the charge under way, at a time in s. What was found
// only because a voltage seemed to be held is taken back where it was not.
func (m *Machine) look(c *charge, now float64) (news bool) {
	had, seen := c.hold.found, c.hold.seen
	news = c.look(&m.opt, &m.volts, &m.amps)
	if !had || c.hold.seen == seen {
		return news
	}
	m.seen = nil
	codes := []string{CodeNoTaper, CodeThermalRunaway, CodeAcceptsLittle}
	if m.opt.Chemistry == "" { // it was inferred from that voltage, and the limits from it
		codes = append(codes, CodeOverVoltage)
		c.tooHigh.latch = latch{need: c.tooHigh.need}
		m.rebound(c, m.view().id)
	}
	for _, code := range codes {
		m.clear(c, code, now)
		c.findings.withdraw(code)
	}
	if m.stageNow() == ConstantCurrent {
		m.show(ConstantCurrent, now, m.view().whyCurrent(c))
	}
	return news
}

// stageNow is the stage that the latest row belongs to.
func (m *Machine) stageNow() StageName {
	v := m.view()
	switch {
	case Known(v.finish):
		return Finish
	case Known(v.cv):
		return ConstantVoltage
	}
	return ConstantCurrent
}

func (m *Machine) show(s StageName, at float64, why string) {
	if s == m.shown {
		return
	}
	m.shown = s
	m.tell(Event{Kind: StageBegan, At: at, Stage: s, Why: why})
}

func (m *Machine) tell(e Event) {
	if m.unheard || m.opt.Patience.silences(e.Finding.Code) {
		return
	}
	m.events = append(m.events, e)
}

// tellOf tells of a charge as it stands, which is put into words only where somebody
// waits for it.
func (m *Machine) tellOf(kind EventKind, at float64, c *charge) {
	if m.unheard {
		return
	}
	s := m.session(c, false)
	m.tell(Event{Kind: kind, At: at, Session: &s})
}
