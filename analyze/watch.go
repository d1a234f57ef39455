package analyze

// What takes hours to show is asked once a minute, of the trace of a charge.
// Each detector is one function in a file of its own: it looks, and claims that
// something holds since then and why, or that it does not. Findings are raised,
// and cleared, by comparing claims with what held before.

// sight is what a slow detector may look at. It sees complete bins only.
type sight struct {
	c           *charge
	v           *view
	o           *Options
	volts, amps *meter
	end         int     // bins that are complete
	constantAt  int     // the first of them in constant voltage; end where there was none yet
	now         float64 // s, end of the last of them
	celsius     float64 // the last known
	frozen      bool    // the meter hangs: that readings stand tells nothing of the battery
	phantom     float64 // C, counted while it did, so far
}

// claim is a detector's answer.
type claim struct {
	holds    bool
	severity Severity // "" is the code's usual one
	since    float64  // s
	message  string
}

// detector asks for one code. What stands goes on to hold though no current flows any
// more, for it is about what went in; the rest was about the current, and is over with
// it. (A battery that stays hot without has a finding of its own.)
type detector struct {
	code   string
	ask    func(*sight) claim
	stands bool
}

// detectors that look at the trace, hazards first.
var detectors = []detector{
	{code: CodeThermalRunaway, ask: runaway},
	{code: CodeVoltageNotReached, ask: voltageNotReached, stands: true},
	{code: CodeStalled, ask: stalled},
	{code: CodeNoTaper, ask: noTaper},
	{code: CodeOverCapacity, ask: overCapacity, stands: true},
	{code: CodeRunningLong, ask: runningLong},
	{code: CodeAcceptsLittle, ask: acceptsLittle, stands: true},
}

// ceased clears what was about a current that will not come back.
func (m *Machine) ceased(c *charge) {
	for _, d := range detectors {
		if !d.stands {
			m.clear(c, d.code, c.stop().t)
		}
	}
}

// watch asks all detectors about the charge under way. They answer from the ends
// of the trace wherever they can, so that a look costs little.
func (m *Machine) watch(c *charge) {
	n := len(c.trace.bins) - 1
	if n < 2 {
		return
	}
	c.watched = c.trace.end.t
	c.most = max(c.most, c.trace.ending(0, n, 4, slowQuestionsAt).i)
	v := m.view()
	m.rebound(c, v.id)
	s := &m.sight
	*s = sight{c: c, v: v, o: &m.opt, volts: &m.volts, amps: &m.amps, end: n, constantAt: n, now: c.trace.bins[n-1].t1, celsius: m.celsius}
	if c.hold.found {
		s.constantAt = min(firstBinAfter(&c.trace, v.cv), n)
	}
	if m.frozen.stands(s) {
		m.frozen.on = true
		m.freeze(&m.last().row)
	}
	s.frozen, s.phantom = m.frozen.misleads(s.now), c.phantom
	if m.frozen.on && m.frozen.one.was != voltsHang {
		s.phantom += c.wentSince(m.frozen.since)
	}
	m.boundUnnamed(s)
	for _, d := range detectors {
		a := d.ask(s)
		if !a.holds {
			m.clear(c, d.code, s.now)
			continue
		}
		if a.severity == "" {
			a.severity = severities[d.code]
		}
		m.raiseAs(c, d.code, a.severity, a.since, a.message)
	}
	s.foresee()
	if !m.unheard {
		c.foretold()
	}
}

// still reports whether a finding holds already: then less keeps it than it took
// to raise it, so that it does not come and go.
func (s *sight) still(code string) bool { return s.c.findings.holds(code) }

// went is what had gone in by the end of what is seen, C.
func (s *sight) went() float64 { return s.c.trace.bins[s.end].at.in - s.c.begin.sum.in }

// wentForSure is the same without what a meter showed that hung.
func (s *sight) wentForSure() float64 { return s.went() - s.phantom }
