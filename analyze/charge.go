package analyze

import "math"

// charge is one charge under way or just over: from the row in which current
// began to flow to the last one in which it did, and the rest after it.
type charge struct {
	begin    mark
	onset    totals  // what flowed between the row before that and it
	stopped  bool    // no current now
	halt     mark    // then, the last row with current; see stop
	spent    totals  // then, what had flowed when it had ceased
	reached  float64 // then, V, the highest until it was cut off
	over     bool    // and it will not go on
	idleFrom float64 // s, since when there had been no current before it
	resting  float64 // V before it, NaN unknown
	stood    resting // the same, with how it moved
	before   *RestFit
	filled   float64 // C, what it may take until it is clear that the battery was not full before it; see fullAt
	unseen   float64 // C, what probably flowed in gaps with current on both sides
	blind    blind   // the last gap that the current ceased or sank in
	late     bool    // it may have begun before it was seen, in a gap
	sighted  float64 // s, since when no rows were missing
	broke    broken  // the charge before, if it goes on with that

	phantom float64 // C, counted while the meter hung

	trace    trace
	pauses   pauses
	hold     hold
	bent     bendFit
	set      setSeen
	peak     peak
	loose    looseLead
	flicker  flicker
	stands   stand
	short    shorted
	rest     rest
	findings findings

	bounds      bounds
	thermometer thermometer
	tooHigh     tooHigh
	alert       bool // one of these two has seen a limit passed, and must be asked of every row

	asked      float64    // s, when the slow questions were last asked
	watched    float64    // s, when the detectors were
	outlook    outlook    // as last worked out,
	ahead      []prospect // and what comes after it; see foretold
	most       float64    // A, the highest current that lasted a minute
	maxVolts   float64
	maxCelsius float64
}

// What is no charge yet: a pulse, or a meter that scatters about zero.
const (
	leastCharge     = 0.002 // of capacity
	leastSeconds    = 120   // s of current before it counts as sustained
	leastRows       = 3
	sustainedDigits = 2 // of the meter: a mean below that is the flicker of its zero
)

// When the whole trace is looked at.
const (
	slowQuestionsAt = 60 // s between two looks
	fewBins         = 64 // of it; while there are fewer, each is looked at
)

// newCharge begins with a row. Its trace may be kept where one was that is no longer needed;
// the first one gets all the room it may come to need, as pages that nobody writes to cost nothing,
// while room that grows leaves five times as much behind.
func newCharge(m *mark, resting float64, room trace, p Patience) *charge {
	c := &charge{begin: *m, resting: resting, maxVolts: math.Inf(-1), maxCelsius: Unknown(), asked: m.t}
	if room.bins == nil {
		room.bins = make([]bin, 0, traceBins)
	}
	c.trace.bins, c.trace.spread.values = room.bins[:0], room.spread.values
	c.thermometer.hot.need, c.thermometer.cold.need = p.times(CodeOverTemperature, latchRows), p.times(CodeUnderTemperature, latchRows)
	c.tooHigh.need = p.times(CodeOverVoltage, latchRows)
	c.add(m)
	return c
}

// add takes a row in which current flows. It reports whether it is time to look
// at the whole again.
func (c *charge) add(m *mark) (ask bool) {
	c.maxVolts = larger(c.maxVolts, m.v)
	if c.hold.found {
		c.loose.charging(&m.row, c.hold.fed)
	}
	closed := c.trace.add(m)
	if !closed {
		return false
	}
	n := len(c.trace.bins)
	return n < fewBins || m.t-c.asked >= slowQuestionsAt
}

// warmed takes the temperature of a row, if it was measured.
func (c *charge) warmed(r *row) {
	if r.celsius == r.celsius && !(c.maxCelsius >= r.celsius) {
		c.maxCelsius = r.celsius
	}
}

// look asks the slow questions: is a voltage held, has it peaked. It reports
// whether an answer is new.
func (c *charge) look(o *Options, volts, amps *meter) (news bool) {
	c.asked = c.trace.end.t
	held := false // until now
	if c.hold.found {
		if !c.hold.disproved(&c.trace) {
			return false
		}
		c.hold, held = hold{}, true
	}
	had := c.peak
	c.peak = peak{}
	if !(had.found && o.Chemistry.Nickel()) { // the trickle after its peak is held by nobody
		c.hold = findHold(&c.trace, c.sighted, volts, amps)
		if c.stopped && !c.hold.found {
			c.hold = heldToTheEnd(&c.trace, volts)
		}
		if !c.hold.found {
			c.hold = c.heldFromTheFirst(o, volts)
		}
		if c.heldTooLow(o) {
			c.hold = hold{}
		}
	}
	if !c.hold.found && (o.Chemistry == "" || o.Chemistry.Nickel()) {
		c.lookForPeak(had, o, volts)
	}
	return c.hold.found || c.peak.found != had.found || held
}

// lookForPeak asks whether the voltage has peaked; had is what was seen before.
func (c *charge) lookForPeak(had peak, o *Options, volts *meter) {
	tr := &c.trace
	n := min(len(tr.bins)-1, tr.steady())
	full := tr.fullUntil(n, c.most)
	if !c.pauses.recovering(tr.end.t) {
		c.peak = findPeak(tr, full, o.Cells, volts)
		c.peak.found = c.peak.found && (o.Chemistry != "" || c.peak.likeNickel(tr, full, c.resting, volts))
		if !c.peak.found && full < n && levelled(tr, full, o, volts) {
			last := &tr.bins[full-1]
			c.peak = peak{found: true, at: last.t1, volts: last.v()}
		}
	}
	// A peak that was seen stays one, also when a trickle follows, unless the
	// voltage goes on to rise, or the full current that had only been done with.
	if v, _, _ := tr.mean(tr.tailEnd(n, 2, 0), n); had.found && !c.peak.found && v < had.volts && (had.drop > 0 || full < n) && (o.Chemistry != "" || !c.peak.sagged()) {
		c.peak = had
	}
}

// mayFinish reports whether the latest rows look like the end of the charge, so
// that it is worth looking at the whole again.
func (c *charge) mayFinish(v *view, amps *meter) bool {
	if !c.hold.found || Known(v.finish) {
		return false
	}
	tr := &c.trace
	end := len(tr.bins)
	volts, i, _ := tr.mean(tr.tailEnd(end, 1, 0), end)
	return i <= v.limit.at(tr.end.sum.in-c.begin.sum.in)+3*amps.noise() || volts < v.held*(1-floatDrop)
}

// pause takes the last row with current and the next, by which what flowed between the
// two was this charge's, and whether a gap lies between them.
func (c *charge) pause(last, next *mark, unseen bool) {
	c.stopped, c.halt, c.spent, c.reached = true, *last, next.sum, c.trace.reached()
	if unseen {
		c.looked(&last.row, &next.row, true)
	}
}

// stop is the last row with current.
func (c *charge) stop() *mark {
	if c.stopped {
		return &c.halt
	}
	return &c.trace.end
}

// lastVolts is the voltage when current last flowed, V.
func (c *charge) lastVolts() float64 { return c.trace.ending(0, len(c.trace.bins), 4, 0).v }

// edges is what flowed just before the first row with current, and just after the last.
func (c *charge) edges() (first, last totals) {
	if c.stopped {
		last = c.spent.minus(c.halt.sum)
	}
	return c.onset, last
}

// went is what has gone in while current flowed, C.
func (c *charge) went() float64 { return c.stop().sum.in - c.begin.sum.in }

// meanCurrent is what has flowed in the mean, A.
func (c *charge) meanCurrent() float64 {
	return c.went() / max(c.stop().t-c.begin.t, 1)
}

func (c *charge) resume(m *mark) {
	c.pauses.add(c.stop().t, m.t)
	c.stopped = false
	c.rest = rest{}
	c.loose = looseLead{}
	c.add(m)
}

// sustained reports whether this is a charge rather than a pulse, or the first
// rows of a meter that scatters about zero.
func (c *charge) sustained(reference float64, amps *meter) bool {
	tr := &c.trace
	rows := 0.0
	for k := 0; k < len(tr.bins) && rows < leastRows; k++ {
		rows += tr.bins[k].rows
	}
	d := tr.end.sum.minus(c.begin.sum)
	return rows >= leastRows && d.onTime >= leastSeconds && d.in >= leastCharge*reference && d.in > max(3*amps.roughNoise()*d.onTime, sustainedDigits*amps.digit()*(tr.end.t-c.begin.t))
}
