package analyze

import "math"

// Machine is the one state machine: samples in, events and a summary out. It
// holds a bounded amount of memory for each charge, and is used alike for files,
// for replays and live. It is not safe for concurrent use.
type Machine struct {
	opt        Options
	rejected   rejections
	lineBefore int // of the latest row that was kept
	rows       int
	started    bool
	wall       int64 // of the first row that knows the date, less its elapsed time, ns

	timeline timeline
	window   window
	volts    meter
	amps     meter
	zero     meter // the current's meter, of rows without current only

	in, out flow
	quiet   quiet
	sum     totals
	marks   [2]mark // the last two rows whose interval was taken; see last and before
	latest  int     // which of them is the last
	told    float64 // degrees Celsius, the last that a sample told
	celsius float64 // the same when the interval under way could be judged

	doubt   doubt
	charge  *charge // under way, or over and resting
	next    *charge // begun, but not yet long enough to be called one
	ledger  ledger
	after   ledger // since a charge that is over
	nobody  nobody
	loaded  restAfter // the last discharge
	steps   steps     // of the current
	wrong   reversed
	resting resting
	frozen  frozen
	silent  bool    // the last reading is overdue
	highest float64 // V
	seen    *view   // charge as last looked at
	sight   sight   // of the detectors, as last looked
	room    trace   // one that is no longer needed

	shown   StageName
	closed  []Session
	events  []Event
	unheard bool             // nobody waits for events
	atOnce  int              // so many calm rows are taken in one go at most
	sums    [calmRows]totals // room for what flows in these
}

// New starts with no samples seen.
func New(o Options) *Machine {
	m := &Machine{opt: o, told: Unknown(), celsius: Unknown(), shown: Idle, highest: math.Inf(-1)}
	m.wall, m.atOnce = o.Epoch, calmRows
	m.wrong.need, m.frozen.patience = o.Patience.times(CodeReversePolarity, latchRows), o.Patience.of(CodeMeterFrozen)
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
	m.take(&s)
	m.catchUp()
	return m.events
}

// take keeps a sample for when it can be judged. Most follow as samples do.
func (m *Machine) take(s *Sample) {
	m.rows++
	if m.silent || !usable(s) || !m.timeline.tick(s) {
		m.odd(s)
		return
	}
	m.keep(s)
}

// odd takes a sample that cannot be used, or whose time is not simply later than that
// of the one before, or that was long awaited. What came before it is told first.
func (m *Machine) odd(s *Sample) {
	m.catchUp()
	if reason := screen(s); reason != "" {
		m.refuse(s, reason)
		return
	}
	if m.timeline.far {
		m.backFromLeap(s)
	}
	v := m.timeline.push(s)
	if v.stray {
		m.window.drop() // no interval of it has been judged yet: that takes two rows more
		m.rejected.add(m.timeline.leapLine, reasonAhead)
	}
	if v.step {
		m.noted(m.book().clockStep(v.t, s.Line, m.opt.Patience), CodeClockStep)
	}
	if v.reason != "" {
		m.rejected.add(s.Line, v.reason)
		return
	}
	if m.silent {
		m.silent = false
		m.notice(CodeMeterSilent, m.timeline.t, false, "")
	}
	m.keep(s)
}

func (m *Machine) keep(s *Sample) {
	if s.Wall != 0 && m.wall < clockSet {
		m.dated(s.Wall - int64(m.timeline.t*1e9))
	}
	if Known(s.Celsius) {
		m.told = s.Celsius
	}
	if m.window.full() {
		m.catchUp()
	}
	r := m.window.next()
	r.t, r.v, r.i, r.celsius, r.skew = m.timeline.t, s.Volts, s.Amps, m.told, s.Skew
	m.window.repeated()
	if m.window.alone() {
		m.window.n-- // as if the newest had not come: what can be judged without it is, as it would be live
		m.catchUp()
		m.window.n++
		m.window.dropAlone()
		m.rejected.add(m.lineBefore, reasonAlone)
	}
	m.lineBefore = s.Line
}

// catchUp judges all rows that can be judged by now.
func (m *Machine) catchUp() {
	var iv interval
	for m.window.ready() {
		if m.calm() > 0 {
			continue
		}
		m.celsius = m.window.newest().celsius
		m.window.take(&iv)
		m.interval(&iv)
	}
}

// clockSet is 2020 in ns since 1970: a date before it was shown by a clock that
// nobody had set yet, as in a machine without a battery for it.
const clockSet = 1_577_836_800_000_000_000

// dated takes the date of the log's first row, as a row tells it. The first word
// counts, for clocks are corrected all the time; but one from before the clock was
// set gives way to one from after.
func (m *Machine) dated(wall int64) {
	if m.wall == 0 || wall >= clockSet {
		m.wall = wall
	}
}

func (m *Machine) refuse(s *Sample, reason string) {
	m.rejected.add(s.Line, reason)
	if Known(s.Celsius) {
		m.told = s.Celsius
	}
	if reason == reasonOverload {
		m.noted(m.book().overload(m.timeline.when(s), s.Line, m.opt.Patience), CodeOverloadReading)
	}
}

// interval takes the time between two rows, a and b, now that two more rows are
// known; only the first row of a log is taken as a.
func (m *Machine) interval(iv *interval) {
	if !m.started {
		m.started = true
		m.advance(iv.a)
		m.ledger.from = *m.last()
		m.measure(iv.a)
		m.regime()
	}
	if m.window.onChange.news() {
		m.stoodStill()
	}
	m.stepped(iv)
	band := m.band()
	if iv.gap {
		m.gap(iv)
	} else {
		m.flowed(iv, band)
	}
	m.measure(iv.b)
	m.advance(iv.b)
	m.regime()
}

// flowed adds up what flowed in an interval.
func (m *Machine) flowed(iv *interval, band float64) {
	if m.in.on || m.out.on || !(within(iv, 0, band) || m.charge != nil && within(iv, m.charge.rest.shown(), band)) {
		m.sum.integrate(iv, band, m.amps.noise())
	} else if m.quiet.add(iv) {
		m.hush()
	}
}

// within reports whether both rows of an interval are in a band about what the meter shows
// without current, A.
func within(iv *interval, zero, band float64) bool {
	return math.Abs(iv.a.i-zero) < band && math.Abs(iv.b.i-zero) < band
}

// hush counts what has flowed while nothing seemed to. What the meter shows into the battery
// after a charge is its zero, in whatever rows go before a current that begins; while none does
// all of it is, for the charger has ended. Without a charge nobody can tell.
func (m *Machine) hush() {
	zero := 0.0
	switch {
	case m.charge == nil:
	case m.in.on:
		zero = m.in.offset
	default:
		zero = math.Inf(1)
	}
	m.sum = m.sum.plus(m.quiet.take(m.zero.noise(), m.amps.step(), zero))
}

// band is the meter's zero band, A: learned without current if there was such a
// time, else from the scatter while it flows.
func (m *Machine) band() float64 {
	const enough = 8
	if m.zero.n >= enough {
		return larger(m.zero.zeroBand(), 1.5*m.amps.step())
	}
	return larger(smaller(m.amps.zeroBand(), 0.03*m.in.scale), 1.5*m.amps.step())
}

func (m *Machine) measure(r *row) {
	m.highest = larger(m.highest, r.v)
	if m.wrong.push(r.v, r.t, m.in.on) {
		m.notice(CodeReversePolarity, m.wrong.since, m.wrong.on, reversedMessage(r.v))
	}
	if m.frozen.push(r, &m.volts, &m.amps, m.in.on) {
		m.freeze(r)
	}
	m.volts.push(r.v)
	m.amps.push(r.i)
}

// freeze tells that the readings stand still though they cannot, or move again.
func (m *Machine) freeze(r *row) {
	if m.frozen.on {
		m.notice(CodeMeterFrozen, m.frozen.since, true, m.frozen.message())
		return
	}
	m.notice(CodeMeterFrozen, r.t, false, "")
	if c := m.charge; c != nil && m.in.on && m.frozen.one.was != voltsHang {
		c.hung(m.frozen.since, r)
	}
}

// gap tells the ledger of rows that are missing, and ends what cannot be taken
// for granted across so long a time.
func (m *Machine) gap(iv *interval) {
	m.resting.watched = watched{}
	before, after := m.in.on, iv.b.i-m.in.offset > m.in.least(m.amps.noise(), m.amps.step())
	m.noted(m.book().gap(iv, before, after, m.opt.Patience), CodeDataGap)
	switch {
	case m.next != nil:
		m.next.missed(iv, before && after)
	case m.charge != nil:
		m.charge.missed(iv, before && after)
	}
	if iv.dt > holdAcrossGap && before && m.charge != nil && !m.charge.over {
		m.in.on, m.in.evidence = false, 0
		m.stopped(m.last(), &mark{*iv.b, m.sum})
		m.over()
	}
}
