package analyze

// Hazards are asked of every row, since minutes count. They and what is asked
// once a minute (see watch.go) end up in the same list of findings.

// hazards passes a row of a charge, or of the rest after it, to the detectors of
// what cannot wait.
func (m *Machine) hazards(c *charge, r *row, charging bool) {
	b := &c.bounds
	if !c.alert && !(r.celsius > b.hottest) && !(r.celsius < b.coldest) && !(r.v > b.leastVolts) {
		return
	}
	switch code := c.thermometer.push(r, b, charging); code {
	case CodeOverTemperature:
		l := c.dated(c.thermometer.hot, func(celsius float64) bool { return celsius > b.hottest })
		m.turn(c, code, l, func() string { return b.hotMessage(r.celsius) })
	case CodeUnderTemperature:
		l := c.dated(c.thermometer.cold, func(celsius float64) bool { return celsius < b.coldest })
		m.turn(c, code, l, func() string { return b.coldMessage(r.celsius) })
	}
	if c.tooHigh.push(r, b, m.volts.step(), charging) {
		m.turn(c, CodeOverVoltage, c.tooHigh.latch, func() string { return b.highMessage(r, b.of.cells) })
	}
	c.alert = !c.thermometer.hot.resting() || !c.thermometer.cold.resting() || !c.tooHigh.resting()
}

// dated is a latch that has turned, with since when the temperature has been beyond its limit: where only the
// voltage that came to be held told what battery this is, that may have been long before.
func (c *charge) dated(l latch, beyond func(celsius float64) bool) latch {
	tr := &c.trace
	if !l.on || l.since > tr.end.t {
		return l
	}
	for k := tr.index(l.since); k > 0 && beyond(tr.bins[k-1].celsius); k-- {
		l.since = tr.bins[k-1].t0
	}
	return l
}

// turn raises or clears a finding as its latch has turned.
func (m *Machine) turn(c *charge, code string, l latch, message func() string) {
	if l.on {
		m.raise(c, code, l.since, message())
		return
	}
	m.clear(c, code, l.since)
}

// raise adds a finding to a charge and tells of it if it is news.
func (m *Machine) raise(c *charge, code string, at float64, message string) {
	m.raiseAs(c, code, severities[code], at, message)
}

func (m *Machine) raiseAs(c *charge, code string, s Severity, at float64, message string) {
	if m.opt.Patience.silences(code) {
		return
	}
	if c.findings.raiseAs(code, s, at, message) {
		m.tell(Event{Kind: FindingRaised, At: at, Finding: *c.findings.find(code)})
	}
}

// clear ends a finding of a charge and tells of it if it held.
func (m *Machine) clear(c *charge, code string, at float64) {
	if c.findings.clear(code, at) {
		m.tell(Event{Kind: FindingCleared, At: at, Finding: *c.findings.find(code)})
	}
}
