package analyze

import "math"

// Hazards are asked of every row, since minutes count. They and what is asked
// once a minute (see watch.go) end up in the same list of findings.

// resting is the voltage of a battery without current, smoothed over some rows:
// what it says just before a charge tells how empty it is; and the current that the
// meter shows then, which is its zero.
type resting struct {
	volts, amps float64
	rows        float64
	watched     watched // for how long, and how it moved
}

const (
	restingRows = 8
	openLeads   = 0.05 // of the voltage under charge: with less before it there was no battery on the leads
)

func (r *resting) push(t, volts float64) {
	if math.Abs(volts-r.volts) > looseJump*larger(volts, r.volts) { // another battery, or none
		if r.rows > 0 {
			r.watched = watched{}
		}
		r.rows = 0
	}
	r.rows = smaller(r.rows+1, restingRows)
	r.volts += (volts - r.volts) / r.rows
	r.watched.row(t, r.volts)
}

// show takes what the meter showed in the same row.
func (r *resting) show(amps float64) { r.amps += (amps - r.amps) / r.rows }

func (r *resting) follow(rows []row) {
	for k := range rows {
		r.push(rows[k].t, rows[k].v)
		r.show(rows[k].i)
	}
}

// zero is the meter's, A, if enough rows tell.
func (r *resting) zero() (amps float64, ok bool) { return r.amps, r.rows >= restingRows/2 }

// before is that voltage, V, as seen from the first row with current; NaN where there was
// no row without current, or no battery in it.
func (r *resting) before(volts float64) float64 {
	if r.rows == 0 || r.volts < openLeads*volts {
		return Unknown()
	}
	return r.volts
}

// hazards passes a row of a charge, or of the rest after it, to the detectors of
// what cannot wait.
func (m *Machine) hazards(c *charge, r *row, charging bool) {
	b := &c.bounds
	if !c.alert && !(r.celsius > b.hottest) && !(r.celsius < b.coldest) && !(r.v > b.leastVolts) {
		return
	}
	switch code := c.thermometer.push(r, b, charging); code {
	case CodeOverTemperature:
		m.turn(c, code, c.thermometer.hot, func() string { return b.hotMessage(r.celsius) })
	case CodeUnderTemperature:
		m.turn(c, code, c.thermometer.cold, func() string { return b.coldMessage(r.celsius) })
	}
	if c.tooHigh.push(r, b, m.volts.step(), charging) {
		m.turn(c, CodeOverVoltage, c.tooHigh.latch, func() string { return b.highMessage(r, b.of.cells) })
	}
	c.alert = !c.thermometer.hot.resting() || !c.thermometer.cold.resting() || !c.tooHigh.resting()
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

// rebound resolves the limits anew where more is known of the battery by now.
func (m *Machine) rebound(c *charge, id identity) {
	id.cells = c.countedCells(&m.opt, &id)
	if b := &c.bounds; b.of.chemistry != id.chemistry || b.of.cells != id.cells || len(b.of.may) != len(id.may) || b.hotWhy == "" {
		c.bounds = m.opt.bounds(&id, c.resting)
	}
}

// leadRested is more than a lead-acid cell shows minutes after it gassed, V: with more at rest
// there are more cells than the voltage that was held said. Common practice, no source.
const leadRested = 2.3

// countedCells is the number of cells in series as far as it may be trusted
// with a limit: as stated, by the voltage that was held, or, for lead-acid in
// the usual sizes, by the voltage before the charge. The highest voltage so far
// must not count them: one that is far too high would count one too many. 0 is
// unknown.
func (c *charge) countedCells(o *Options, id *identity) int {
	switch {
	case o.Cells > 0:
		return id.cells
	case c.hold.found && !(id.chemistry.Lead() && c.resting > leadRested*float64(id.cells)):
		if c.hold.volts > highestOf(id.chemistry)*float64(id.cells) {
			return 0 // no number of cells fits such a voltage
		}
		return id.cells
	case !id.chemistry.Lead() || !Known(c.resting):
		return 0
	}
	return restingCells(id.chemistry, c.resting)
}

// endedByAlarm reports whether an alarm ended the charge: it had not been
// complete when the alarm began, and stopped soon after, or while it held.
func endedByAlarm(f *Finding, c *charge, finish float64) bool {
	at := float64(f.AtS)
	if f.Severity != Alarm || !c.stopped || finish <= at {
		return false
	}
	if math.Abs(at-c.stop().t) <= alarmEnds {
		return true
	}
	held := !(float64(f.EndS) < c.stop().t-alarmEnds)
	return held && !Known(finish) && at < c.stop().t
}
