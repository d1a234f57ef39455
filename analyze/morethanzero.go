package analyze

import "math"

// A charge must be something. Up to 15 mA a meter shows of nothing (surely x leastCurrent), with
// its noise on top; such a "current" falls and rises by itself beside a battery whose voltage stands, and
// that is how a held voltage with a falling current looks. So it is a charge only if something else says that it
// flows: the meter was seen to show less before it began, or after it; or the voltage answers, by rising further than
// noise and a battery that recovers from use make it, or by standing where none of that kind stands by itself.
// The figures: common practice, no source.
const (
	answerRise = 0.01 // of the voltage: a small current lifts it by more before it has brought much
	onsetNoise = 3    // times: by so much more than before must be shown
)

// isCharge reports whether what has begun is a charge by now.
func (m *Machine) isCharge(c *charge) bool {
	return (c.hold.found || c.sustained(m.reference(), &m.amps)) && m.moreThanZero(c)
}

// ended takes what the meter shows when a current that was no charge yet has stopped, A: so much less tells that it was one,
// of which nothing has been asked until now.
func (m *Machine) ended(shown float64) {
	if c := m.next; c != nil && c.sustained(m.reference(), &m.amps) && m.stepsFrom(shown, c.shownMean()) {
		m.promote()
		m.watch(c)
	}
}

// moreThanZero reports whether what seems to flow is more than a meter may show of nothing.
func (m *Machine) moreThanZero(c *charge) bool {
	mean := c.shownMean()
	before, seen := c.stood.zero()
	return mean >= surely*leastCurrent || seen && m.stepsFrom(before, mean) || m.answers(c)
}

// shownMean is the mean of the rows, A; what went in may have added up before them.
func (c *charge) shownMean() float64 {
	_, mean, _ := c.trace.mean(0, len(c.trace.bins))
	return mean
}

// stepsFrom reports whether a current is clearly more than what the meter shows beside it, A.
func (m *Machine) stepsFrom(shown, mean float64) bool {
	return mean-shown > larger(leastCurrent, larger(onsetNoise*m.amps.roughNoise(), 1.5*m.amps.digit()))
}

// answers reports whether the voltage shows that a current flows.
func (m *Machine) answers(c *charge) bool {
	tr := &c.trace
	before, now := c.resting, c.lastVolts()
	if !Known(before) {
		before, _, _ = tr.mean(0, min(len(tr.bins), restingRows))
	}
	if now-before > larger(answerRise*math.Abs(before), restSlack(&m.volts, now)) {
		return true
	}
	id := identity{chemistry: m.opt.Chemistry, cells: m.opt.Cells}
	return now > aloneAbove(&m.opt) || id.chemistry.Lead() && id.cells > 0 && now > leadByItself*float64(id.cells)
}
