package analyze

import (
	"fmt"
	"math"
)

// Machine is the one state machine: samples in, events and a summary out. It
// holds a bounded amount of memory for each charge, and is used alike for files,
// for replays and live. It is not safe for concurrent use.
type Machine struct {
	opt      Options
	rejected RejectLog
	rows     int
	started  bool
	wall     int64 // of the first row that knows the date, less its elapsed time, ns

	timeline timeline
	window   window
	volts    meter
	amps     meter
	zero     meter // the current's meter, of rows without current only

	in, out flow
	quiet   quiet
	sum     totals
	last    mark
	celsius float64 // the last one known

	doubt   doubt
	charge  *charge // under way, or over and resting
	next    *charge // begun, but not yet long enough to be called one
	ledger  ledger
	after   ledger    // since a charge that is over
	loose   looseLead // of a log without a charge so far
	loaded  restAfter // the last discharge
	steps   steps     // of the current
	wrong   reversed
	resting resting
	frozen  frozen
	silent  bool    // the last reading is overdue
	highest float64 // V
	view    *view   // of charge, as last looked at

	shown  StageName
	closed []Session
	events []Event
}

// New starts with no samples seen.
func New(o Options) *Machine {
	m := &Machine{opt: o, celsius: Unknown(), shown: Idle, highest: math.Inf(-1)}
	m.wall = o.Epoch
	m.in.share, m.out.share = 0.004, 0.02
	return m
}

// Refuse counts a row that could not be decoded, and keeps what was still read of
// it: a temperature is worth having without the rest, an overload worth telling.
func (m *Machine) Refuse(s Sample, reason string) []Event {
	m.events = m.events[:0]
	m.rows++
	m.refuse(&s, reason)
	return m.events
}

// Step takes the next sample and returns what changed because of it. The slice
// is valid until the next call.
func (m *Machine) Step(s Sample) []Event {
	m.events = m.events[:0]
	m.rows++
	if reason := screen(&s); reason != "" {
		m.refuse(&s, reason)
		return m.events
	}
	v := m.timeline.push(&s)
	if v.step {
		m.noted(m.book().clockStep(v.t, s.Line), CodeClockStep)
	}
	if v.reason != "" {
		m.rejected.add(s.Line, v.reason)
		return m.events
	}
	if s.Wall != 0 {
		m.dated(s.Wall - int64(v.t*1e9))
	}
	if Known(s.Celsius) {
		m.celsius = s.Celsius
	}
	if m.silent {
		m.silent = false
		m.notice(CodeMeterSilent, v.t, false, "")
	}
	if iv, ok := m.window.push(row{t: v.t, v: s.Volts, i: s.Amps, celsius: m.celsius, wall: s.Wall, line: s.Line, skew: s.Skew}); ok {
		m.interval(&iv)
	}
	return m.events
}

// Epoch is the date of the log's first row, ns since 1970, as far as is known by
// now; 0 where no row told one.
func (m *Machine) Epoch() int64 { return m.wall }

// clockSet is 2020 in ns since 1970: a date before it was shown by a clock that
// nobody had set yet, as in a machine without a battery for it.
const clockSet = 1_577_836_800_000_000_000

// dated takes the date of the log's first row, as a row tells it. The first word
// counts, for clocks are corrected all the time; but one from before the clock was
// set gives way to one from after.
func (m *Machine) dated(wall int64) {
	const day = 24 * 3600 * 1_000_000_000
	if m.wall == 0 || m.wall < clockSet && wall >= clockSet && wall-m.wall > day {
		m.wall = wall
	}
}

func (m *Machine) refuse(s *Sample, reason string) {
	m.rejected.add(s.Line, reason)
	if Known(s.Celsius) {
		m.celsius = s.Celsius
	}
	if reason == reasonOverload {
		m.noted(m.book().overload(m.timeline.t, s.Line), CodeOverloadReading)
	}
}

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
		g := m.book().notes.get(code)
		m.tell(Event{Kind: FindingRaised, At: float64(g.AtS), Finding: g})
	}
}

// interval takes the time between two rows, a and b, now that two more rows are
// known; only the first row of a log is taken as a.
func (m *Machine) interval(iv *interval) {
	if !m.started {
		m.started = true
		m.last = mark{row: iv.a}
		m.ledger.from = m.last
		m.measure(&iv.a)
		m.regime(&m.last)
	}
	m.stepped(iv)
	band := m.band()
	if iv.gap {
		before := m.in.on
		m.gap(iv, before)
	} else {
		m.sum = m.sum.plus(m.flowed(iv, band))
	}
	m.measure(&iv.b)
	m.last = mark{row: iv.b, sum: m.sum}
	m.regime(&m.last)
}

// flowed is what flowed in an interval.
func (m *Machine) flowed(iv *interval, band float64) totals {
	a, b := math.Abs(iv.a.i), math.Abs(iv.b.i)
	if !m.in.on && !m.out.on && a < band && b < band {
		return m.quiet.add(iv, m.zero.noise(), m.amps.step())
	}
	return integrate(iv, band, m.amps.noise())
}

// band is the meter's zero band, A: learned without current if there was such a
// time, else from the scatter while it flows.
func (m *Machine) band() float64 {
	const enough = 8
	if m.zero.n >= enough {
		return max(m.zero.zeroBand(), 1.5*m.amps.step())
	}
	return max(min(m.amps.zeroBand(), 0.03*m.in.scale), 1.5*m.amps.step())
}

func (m *Machine) measure(r *row) {
	m.highest = max(m.highest, r.v)
	if m.wrong.push(r.v, r.t) {
		m.notice(CodeReversePolarity, m.wrong.since, m.wrong.on, reversedMessage(r.v))
	}
	if m.frozen.push(r, &m.volts, &m.amps, m.in.on) {
		m.freeze(r.t)
	}
	m.volts.push(r.v)
	m.amps.push(r.i)
}

// freeze tells that the readings stand still though they cannot, or move again.
func (m *Machine) freeze(t float64) {
	if m.frozen.on {
		m.notice(CodeMeterFrozen, m.frozen.since, true, m.frozen.message())
		return
	}
	m.notice(CodeMeterFrozen, t, false, "")
}

// gap tells the ledger of rows that are missing, and ends what cannot be taken
// for granted across so long a time.
func (m *Machine) gap(iv *interval, before bool) {
	news := m.book().gap(iv, before, iv.b.i > m.in.least(m.amps.noise(), m.amps.step()))
	m.noted(news, CodeDataGap)
	if iv.dt > holdAcrossGap && before && m.charge != nil && !m.charge.over {
		m.in.on, m.in.evidence = false, 0
		m.stopped(&m.last)
		m.over(iv.a.t)
	}
}

// regime asks whether current flows, in or out, and passes the row on.
func (m *Machine) regime(now *mark) {
	amps := &m.amps
	// What flows out is measured against what flows in: a zero that is a little
	// below zero is no discharge beside a charger's current.
	m.out.scale = max(m.out.scale, m.in.scale)
	switch changed, last := m.out.push(-now.i, *now, amps); {
	case changed && m.out.on:
		m.discharging(now)
	case changed:
		m.loaded.begin(&last)
	}
	changed, at := m.in.push(now.i, *now, amps)
	if !m.in.on && !m.out.on && m.in.evidence == 0 && m.out.evidence == 0 {
		m.zero.push(now.i)
	}
	switch {
	case changed && m.in.on:
		m.sum = m.sum.plus(m.quiet.take(m.zero.noise(), amps.step()))
		m.began(&at)
		for _, d := range m.doubt.take() {
			if d.t > at.t {
				m.flowing(&d)
			}
		}
		m.flowing(now)
	case changed:
		m.stopped(&at)
		for _, d := range m.doubt.take() {
			if d.t > at.t {
				m.idle(&d)
			}
		}
		m.idle(now)
	case m.in.evidence > 0 || m.in.leaps > 0:
		if old, full := m.doubt.add(now); full {
			m.pass(&old)
		}
	default:
		for _, d := range m.doubt.take() {
			m.pass(&d)
		}
		m.pass(now)
	}
}

// pass gives a row to whoever it belongs to, current or no current.
func (m *Machine) pass(r *mark) {
	if m.in.on {
		m.flowing(r)
		return
	}
	m.idle(r)
}

// began: current flows. It is the charge that goes on, or a new one.
func (m *Machine) began(at *mark) {
	m.loaded.ended = true
	m.dismissDwarfed()
	if c := m.charge; c != nil && c.stopped && m.goesOn(c, at) {
		if c.over {
			c.over = false
			m.ledger.absorb(&m.after)
			m.after = ledger{}
		}
		c.resume(at)
		m.clear(c, CodeOpenCircuit, at.t)
		m.show(m.stageNow(), at.t, "current flows again")
		return
	}
	if m.next != nil {
		m.next.resume(at)
		return
	}
	m.next = newCharge(at, m.resting.before())
	m.rebound(m.next, identity{chemistry: m.opt.Chemistry, cells: m.opt.Cells})
	if m.charge == nil {
		m.next.idleFrom = m.ledger.from.t
		return
	}
	m.next.idleFrom = m.charge.stop.t
	if m.charge.rest.rows > 0 {
		m.next.idleFrom = m.charge.rest.to
	}
	m.charge.rest.ended = true
}

// dismissDwarfed forgets a charge that was none: beside the current that now
// begins, what flowed before was the meter's zero.
func (m *Machine) dismissDwarfed() {
	tiny := func(c *charge) bool {
		return c != nil && !c.over && !c.hold.found && dwarfs*c.trace.highest() < m.in.level
	}
	if tiny(m.next) {
		m.next = nil
	}
	if tiny(m.charge) {
		m.charge, m.view = nil, nil
	}
}

// goesOn decides whether current that flows again belongs to the same charge.
func (m *Machine) goesOn(c *charge, at *mark) bool {
	v := m.viewOf(c)
	away := at.t - c.stop.t
	if !Known(v.finish) {
		return !c.over && away <= pauseLimit
	}
	// After a charge was complete: the holding current of a float at its voltage,
	// any time; more only as a charger's short look.
	if m.in.level <= floatCurrent/2*v.set && at.v > 0.88*v.held && away <= holdAcrossGap {
		return true
	}
	return !c.over && away <= pauseAfterTail && at.v > sameBattery*v.held
}

func (m *Machine) stopped(at *mark) {
	switch {
	case m.next != nil:
		m.next.pause(at)
	case m.charge != nil && !m.charge.stopped:
		m.charge.pause(at)
		m.charge.look(&m.opt, &m.volts, &m.amps)
		m.view = nil
		m.stages(at.t)
		m.watch(m.charge)
	}
}

// flowing takes a row with current.
func (m *Machine) flowing(r *mark) {
	c := m.charge
	if m.next != nil {
		c = m.next
	}
	if c == nil {
		return
	}
	ask := c.add(r)
	m.celsiusOf(c, r)
	m.hazards(c, &r.row, true)
	if c == m.next {
		if ask && c.sustained(m.reference(), &m.amps) {
			m.promote()
		}
		return
	}
	if !ask {
		return
	}
	if c.look(&m.opt, &m.volts, &m.amps) || c.mayFinish(m.viewOf(c), &m.amps) {
		m.view = nil
		m.stages(r.t)
	}
	if r.t >= c.watched+slowQuestionsAt {
		m.watch(c)
	}
}

func (m *Machine) celsiusOf(c *charge, r *mark) {
	if r.celsius == r.celsius && !(c.maxCelsius >= r.celsius) {
		c.maxCelsius = r.celsius
	}
}

// reference is the charge that "nothing to speak of" is measured against, C: the
// rated capacity, or else the last charge in the log.
func (m *Machine) reference() float64 {
	if m.opt.Capacity > 0 {
		return m.opt.Capacity
	}
	if m.charge != nil {
		return m.charge.stop.sum.in - m.charge.begin.sum.in
	}
	return 0
}

// promote makes the charge begun the one under way; the one before it is closed.
func (m *Machine) promote() {
	c := m.next
	m.next = nil
	if m.charge != nil {
		m.close()
	}
	m.charge, m.view = c, nil
	c.look(&m.opt, &m.volts, &m.amps)
	s := m.session(c, false)
	m.tell(Event{Kind: SessionBegan, At: c.begin.t, Session: &s})
	m.show(ConstantCurrent, c.begin.t, m.viewOf(c).whyCurrent(c))
	m.stages(m.last.t)
}

// idle takes a row without current.
func (m *Machine) idle(r *mark) {
	if m.next != nil && r.t-m.next.stop.t > pauseAfterTail {
		m.next = nil
	}
	quiet := math.Abs(r.i) <= max(m.band(), m.out.least(m.amps.noise(), m.amps.step()))
	if quiet && !m.out.on {
		m.loaded.add(r)
		m.resting.push(r.v)
	}
	c := m.charge
	if c == nil {
		if quiet && m.loose.push(&r.row, Unknown(), false) {
			m.noted(m.ledger.notes.raise(CodeOpenCircuit, m.loose.since, m.loose.message()), CodeOpenCircuit)
		}
		return
	}
	m.hazards(c, &r.row, false)
	if m.out.on || !quiet || c.rest.ended {
		return
	}
	c.rest.add(&r.row, &c.stop.row)
	m.loosened(c, r)
	if !c.over && r.t-c.stop.t > pauseLimit {
		m.over(r.t)
	}
}

// loosened asks whether a battery still hangs on the leads.
func (m *Machine) loosened(c *charge, r *mark) {
	v := m.viewOf(c)
	highest := v.held
	if !Known(highest) {
		highest = c.maxVolts
	}
	if c.loose.push(&r.row, highest, Known(v.finish)) {
		m.raise(c, CodeOpenCircuit, c.loose.since, c.loose.message())
	}
}

// discharging: current flows out. That ends a charge that had paused.
func (m *Machine) discharging(now *mark) {
	if c := m.charge; c != nil && c.stopped {
		c.rest.ended = true
		if !c.over {
			m.over(now.t)
		}
	}
	m.next = nil
	m.resting = resting{}
}

// over: the charge will not go on. What happens from its last current on is kept
// apart, since it belongs to the next one, if there is one.
func (m *Machine) over(seen float64) {
	c := m.charge
	c.over, c.ended = true, seen
	m.after = ledger{from: c.stop}
	m.show(Rest, c.stop.t, "no current any more")
	s := m.session(c, false)
	m.tell(Event{Kind: SessionOver, At: c.stop.t, Session: &s})
}

// close puts a charge away for good.
func (m *Machine) close() {
	c := m.charge
	if !c.over {
		m.over(m.last.t)
	}
	s := m.session(c, false)
	m.closed = append(m.closed, s)
	m.ledger, m.after = m.after, ledger{}
	m.tell(Event{Kind: SessionClosed, At: c.stop.t, Session: &s})
}

// stages tells of stages that were seen to have begun.
func (m *Machine) stages(seen float64) {
	v := m.viewOf(m.charge)
	switch m.stageNow() {
	case ConstantVoltage:
		m.show(ConstantVoltage, v.cv, v.whyVoltage(m.charge))
	case Finish:
		m.show(Finish, v.finish, v.finishWhy)
	}
}

// stageNow is the stage that the latest row belongs to.
func (m *Machine) stageNow() StageName {
	c := m.charge
	if c == nil {
		return Idle
	}
	v := m.viewOf(c)
	switch {
	case c.over:
		return Rest
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
	e.Seen = m.timeline.t
	m.events = append(m.events, e)
}

// viewOf looks at a charge as a whole, once for each change of the answers.
func (m *Machine) viewOf(c *charge) *view {
	if c != m.charge {
		v := c.view(&m.opt, &m.volts, &m.amps)
		return &v
	}
	if m.view == nil {
		v := c.view(&m.opt, &m.volts, &m.amps)
		m.view = &v
	}
	return m.view
}

// Drain returns the charges that are closed for good and forgets them.
func (m *Machine) Drain() []Session {
	s := m.closed
	m.closed = nil
	return s
}

// Document is all that can be said by now. It takes nothing away: samples may go
// on to be fed afterwards. The log's source, decoder and layout are for the
// caller to fill in.
func (m *Machine) Document() Document {
	end := m.clone()
	for {
		iv, ok := end.window.flush()
		if !ok {
			break
		}
		end.interval(&iv)
	}
	end.sum = end.sum.plus(end.quiet.take(end.zero.noise(), end.amps.step()))
	if !end.started && end.window.n == 1 {
		end.alone(&end.window.rows[0])
	}
	r := end.rejected
	if r.First == nil {
		r.First = []Rejection{}
	}
	d := Document{Log: Log{
		Rows: m.rows, Used: m.rows - r.Count,
		Rejected: r.First, RejectedCount: r.Count, RejectedByReason: r.ByReason,
		Meter: fmt.Sprintf("current %s, voltage %s", m.opt.Current.orDefault(), m.opt.Voltage.orDefault()),
	}}
	last := end.unfinished()
	d.Sessions = append(end.closed, last)
	return d
}

// alone is a log of a single row.
func (m *Machine) alone(r *row) {
	m.started = true
	m.last = mark{row: *r}
	m.ledger.from = m.last
}

func (m *Machine) clone() *Machine {
	c := *m
	c.rejected = m.rejected.clone()
	c.ledger, c.after = m.ledger.clone(), m.after.clone()
	c.closed = append([]Session(nil), m.closed...)
	c.events = nil
	c.view = nil
	c.charge, c.next = m.charge.clone(), m.next.clone()
	return &c
}

func (c *charge) clone() *charge {
	if c == nil {
		return nil
	}
	d := *c
	d.trace = c.trace.clone()
	d.findings = c.findings.clone()
	return &d
}

// Last is the latest usable row: elapsed time since the log's first row (s),
// volts, amps, and degrees Celsius, the last known; ok is false before the first.
func (m *Machine) Last() (t, volts, amps, celsius float64, ok bool) {
	w := &m.window
	if w.n == 0 {
		return 0, 0, 0, 0, false
	}
	r := &w.rows[w.n-1]
	return r.t, r.v, r.i, r.celsius, true
}

// Idle reports whether no charge is under way, as far as is known by now: none
// has begun, or the last one is over.
func (m *Machine) Idle() bool { return m.next == nil && (m.charge == nil || m.charge.over) }

// Stage is the stage as last told of in an event.
func (m *Machine) Stage() StageName { return m.shown }
