package analyze

import (
	"fmt"
	"math"
	"time"
)

// An alarm within this time of the end is taken to have ended the charge, s.
const alarmEnds = 300

// unfinished is what is under way when the log ends: the last charge, or, where
// there was none at all, the whole log as one session without a charge.
func (m *Machine) unfinished() Session {
	m.lastStep()
	if m.next != nil {
		m.book().notes.merge(&m.next.findings)
	}
	if m.charge == nil {
		return m.noCharge()
	}
	m.charge.look(&m.opt, &m.volts, &m.amps)
	m.seen = nil
	if !m.charge.stopped {
		m.watch(m.charge)
	}
	m.ledger.absorb(&m.after)
	return m.session(m.charge, true)
}

// noCharge is a session over a log in which nothing to speak of flowed.
func (m *Machine) noCharge() Session {
	s := m.blank()
	s.StartS, s.EndS = Number(m.ledger.from.t), Number(m.last().t)
	s.FinishS = Number(Unknown())
	s.Outcome, s.EndedBy = NoCharge, EndLogEnded
	s.account(m.sum.minus(m.ledger.from.sum), 0, &m.opt, &m.amps)
	s.SetA, s.HeldV, s.TailA = Number(Unknown()), Number(Unknown()), Number(Unknown())
	s.PeakV, s.MaxCelsius = Number(m.highest), Number(m.celsius)
	s.Chemistry, s.Cells = m.opt.Chemistry, Count(m.opt.Cells)
	s.Findings = append(s.Findings, m.opt.Patience.heard(m.ledger.notes.list)...)
	s.Gaps = append(s.Gaps, m.ledger.gaps...)
	s.Rest = m.restAfterLoad()
	s.Resistance = m.ledger.ohms.list()
	s.DirectResistance = append(s.DirectResistance, m.ledger.direct...)
	s.ID = m.id(m.ledger.from.t)
	return s
}

func (m *Machine) blank() Session {
	return Session{
		Channel: m.opt.Channel, Battery: Name(m.opt.Battery), Started: m.date(m.ledger.from.t), ChargeMethod: m.chargeMethod(),
		Stages: []Stage{}, Findings: []Finding{}, Gaps: []Gap{}, Resistance: []Resistance{}, DirectResistance: []DirectResistance{},
	}
}

// session puts a charge into words and numbers. last tells whether the rows
// after its end belong to it, since no other charge follows.
func (m *Machine) session(c *charge, last bool) Session {
	v := m.view()
	s := m.blank()
	s.Started = m.date(c.begin.t)
	s.ID = m.id(c.begin.t)
	s.StartS, s.EndS, s.FinishS = Number(c.begin.t), Number(c.stop().t), Number(v.finish)
	s.EndedBy = v.endedBy
	until := c.spent
	if last || !c.over {
		until = m.sum
	}
	s.account(until.minus(m.ledger.from.sum), c.rest.shown(), &m.opt, &m.amps)
	s.SetA, s.HeldV, s.TailA = Number(v.set), Number(v.held), Number(v.tail)
	s.PeakV, s.MaxCelsius = Number(c.maxVolts), Number(c.maxCelsius)
	s.Chemistry, s.Cells, s.ChemistryInferred = v.id.chemistry, Count(v.id.cells), v.id.inferred
	s.Stages = m.stageList(c, v)
	s.Outcome = m.outcome(c, v)
	if s.Outcome == Faulted { // a current that falls because of a fault shows no full battery
		s.FinishS, s.EndedBy = Number(Unknown()), EndCurrentStopped
	}
	found := c.findings.clone()
	m.judge(c, v, &s, &found)
	found.merge(&m.ledger.notes)
	s.Findings = append(s.Findings, m.opt.Patience.heard(found.list)...)
	s.Gaps = append(s.Gaps, m.ledger.gaps...)
	s.RestBefore = c.before.of(&restingBattery{identity: v.id, celsius: m.celsius, before: true})
	s.Rest = m.restOf(c, v)
	s.Resistance = m.ledger.ohms.list()
	s.DirectResistance = append(s.DirectResistance, m.ledger.direct...)
	s.Capacity = m.capacity(c, v)
	if s.Outcome == Running {
		s.Forecast = c.foretold().told()
	}
	return s
}

// account fills in what flowed, of a meter that shows so many amperes without current.
func (s *Session) account(t totals, shown float64, o *Options, amps *meter) {
	s.ChargeInAh = Number(ampHours(t.in))
	u := chargeBudget(t, o.Current.orDefault(), amps.digit(), shown)
	s.ChargeInAhU95 = Number(ampHours(u.expanded()))
	s.ChargeInAhBudget = &ChargeBudget{Gain: Number(ampHours(u.gain)), Zero: Number(ampHours(u.zero)), Sampling: Number(ampHours(u.sampling))}
	s.ChargeOutAh = Number(ampHours(t.out))
	s.EnergyInWh, s.EnergyOutWh = Number(t.energy/secondsPerHour), Number(t.given/secondsPerHour)
}

func (m *Machine) outcome(c *charge, v *view) Outcome {
	for _, f := range c.findings.list {
		if endedByAlarm(&f, c, v.finishBut(&f, c)) {
			return Faulted
		}
	}
	switch {
	case Known(v.finish):
		return Complete
	case c.stopped:
		return CutShort
	}
	return Running
}

// finishBut is when the charge was complete, for all that an alarm leaves of that, s: where the current's stop alone is what
// tells that nickel is full, a lead that came off stopped it as well.
func (v *view) finishBut(f *Finding, c *charge) float64 {
	if f.Code == CodeOpenCircuit && v.endedBy == EndVoltagePeak && v.finish == c.stop().t {
		return Unknown()
	}
	return v.finish
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

// stageList lays the boundaries out as stages, each with its own charge.
func (m *Machine) stageList(c *charge, v *view) []Stage {
	var list []Stage
	end := c.stop().t
	finish := v.finish
	if !Known(finish) {
		finish = end
	}
	finish = min(finish, end)
	limit := v.cv
	if !Known(limit) {
		limit = finish
	}
	if c.idleFrom < c.begin.t {
		list = append(list, Stage{Stage: Idle, StartS: Number(c.idleFrom), EndS: Number(c.begin.t), MeanV: Number(Unknown()), MeanA: 0,
			Why: "no current beyond the meter's own zero"})
	}
	add := func(name StageName, from, to float64, why string) {
		if to > from {
			list = append(list, c.stage(name, from, to, why))
		}
	}
	add(ConstantCurrent, c.begin.t, limit, v.whyCurrent(c)+c.whyThrottled(firstBinAfter(&c.trace, limit), &m.volts))
	add(ConstantVoltage, limit, finish, v.whyVoltage(c))
	add(Finish, finish, end, v.finishWhy)
	if c.stopped && c.rest.rows > 0 {
		list = append(list, Stage{Stage: Rest, StartS: Number(end), EndS: Number(c.rest.to), MeanV: Number(c.rest.sumV / float64(c.rest.rows)),
			Why: fmt.Sprintf("no current since %s", clock(end))})
	}
	return list
}

// stage is a stretch of the charge. The first and the last have what flowed in the intervals
// at its edges too, so that all together have what went in.
func (c *charge) stage(name StageName, from, to float64, why string) Stage {
	d := c.trace.sumAt(to).minus(c.trace.sumAt(from))
	all := d
	first, last := c.edges()
	if from == c.begin.t {
		all = all.plus(first)
	}
	if to == c.stop().t {
		all = all.plus(last)
	}
	s := Stage{
		Stage: name, StartS: Number(from), EndS: Number(to), Why: why,
		ChargeAh: Number(ampHours(all.in)), EnergyWh: Number(all.energy / secondsPerHour),
		MeanA: Number(d.in / (to - from)), MeanV: Number(Unknown()),
	}
	if d.in > 0 {
		s.MeanV = Number(d.energy / d.in)
	}
	return s
}

func (v *view) whyCurrent(c *charge) string {
	why := fmt.Sprintf("current of %.3g A from %s, above the meter's own zero", v.set, clock(c.begin.t))
	if Known(v.cv) {
		return why + ", the voltage rising to its limit"
	}
	return why + "; no voltage limit has been seen to rule"
}

func (v *view) whyVoltage(c *charge) string {
	h := &c.hold
	if !h.found {
		return ""
	}
	while := fmt.Sprintf("while the current fell from %.3g to %.3g A", h.first, h.last)
	if h.leapt {
		while = fmt.Sprintf("from the first row, to which the battery leapt from %.2f V though it took only %.3g A", c.resting, h.first)
	}
	why := fmt.Sprintf("voltage held at %.2f V (within %.0f mV) %s; began at %s", v.held, h.slack*1000, while, clock(v.cv))
	if h.seen >= v.cv { // an unregulated source may have come to its highest only later
		why += ", seen at " + clock(h.seen)
	}
	if id := &c.bounds.of; id.underfed(v.held) {
		why += fmt.Sprintf(". That is %.2f V for each of %d cells, too little to fill a lead-acid battery ever: it ends partly charged", v.held/float64(id.cells), id.cells)
	}
	return why
}

// capacity sets what went in against the rating. How deeply the battery had been
// discharged shows only in a charge that made it full again.
func (m *Machine) capacity(c *charge, v *view) *Capacity {
	if m.opt.Capacity <= 0 {
		return nil
	}
	first, last := c.edges()
	in := c.went() + first.in + last.in
	factor, _ := ChargeFactorOf(v.id.chemistry)
	depth := Unknown()
	if Known(v.finish) {
		depth = DepthOfDischarge(in, m.opt.Capacity, factor.Stated)
	}
	return &Capacity{
		RatedAh: Number(ampHours(m.opt.Capacity)), AbsorbedFraction: Number(in / m.opt.Capacity),
		ChargeFactor: Number(factor.Stated), DepthOfDischarge: Number(depth),
	}
}

// date is the date of an elapsed time, nil where the log knows none.
func (m *Machine) date(t float64) *time.Time {
	if m.wall == 0 {
		return nil
	}
	d := time.Unix(0, m.wall+int64(math.Round(t*1000))*1e6).UTC()
	return &d
}

// SessionID names a session by its channel and when it began.
func SessionID(channel string, began time.Time) string {
	return channel + "-" + began.UTC().Format("20060102T150405Z")
}

// id names a session: the same rows give the same name, today and when they are analysed
// again.
func (m *Machine) id(start float64) string {
	name := m.opt.Channel
	if name == "" {
		name = "log"
	}
	if d := m.date(start); d != nil {
		return SessionID(name, *d)
	}
	return fmt.Sprintf("%s-%.0fs", name, start)
}
