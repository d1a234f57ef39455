package analyze

import (
	"fmt"
	"math"
)

// charge is one charge under way or just over: from the row in which current
// began to flow to the last one in which it did, and the rest after it.
type charge struct {
	begin    mark
	stopped  bool    // no current now
	halt     mark    // then, the last row with current; see stop
	spent    totals  // then, what had flowed when it had ceased
	over     bool    // and it will not go on
	idleFrom float64 // s, since when there had been no current before it
	resting  float64 // V before it, NaN unknown
	unseen   float64 // C, what probably flowed in gaps with current on both sides
	blind    blind   // the last gap that the current ceased or sank in
	late     bool    // it may have begun before it was seen, in a gap
	sighted  float64 // s, since when no rows were missing

	phantom float64 // C, counted while the meter hung

	trace    trace
	pauses   pauses
	hold     hold
	bent     bendFit
	peak     peak
	loose    looseLead
	rest     rest
	findings findings

	bounds      bounds
	thermometer thermometer
	tooHigh     tooHigh
	alert       bool // one of these two has seen a limit passed, and must be asked of every row

	asked      float64 // s, when the slow questions were last asked
	watched    float64 // s, when the detectors were
	outlook    outlook // as last asked
	most       float64 // A, the highest current that lasted a minute
	maxVolts   float64
	maxCelsius float64
}

// How long a pause may be and still belong to the same charge.
const (
	pauseLimit         = 30 * 60 // s
	pauseAfterTail     = 5 * 60  // s, once it was complete, before a current that is not a float's
	sameBattery        = 0.90    // of the held voltage: a full battery that starts lower was exchanged for another
	floatsAbove        = 0.93    // of the held voltage: no battery stands there by itself
	holdAcrossGap      = 12 * 3600
	leastCharge        = 0.002 // of capacity: less is no charge
	leastSeconds       = 120   // s of current before it counts as sustained
	leastRows          = 3
	sustainedDigits    = 2    // of the meter: a mean below that is the flicker of its zero
	endedByCutOff      = 0.10 // of the set current: stopping at so little in constant voltage is the charger's own end
	endedByCutOffAlone = 0.20 // the same, of the first current, where the voltage was held from the first
	cutOffSlack        = 1.15 // times that: the rows before a charger stops lie above the current at which it does
	slowQuestionsAt    = 60   // s between two looks at the whole trace
	fewBins            = 64   // of it; while there are fewer, each is looked at
)

// newCharge begins with a row. Its trace may be kept where one was that is no longer needed.
func newCharge(m *mark, resting float64, room trace, p Patience) *charge {
	c := &charge{begin: *m, resting: resting, maxVolts: math.Inf(-1), maxCelsius: Unknown(), asked: m.t}
	c.trace.bins, c.trace.spread.values = room.bins[:0], room.spread.values
	c.thermometer.hot.need, c.thermometer.cold.need = p.times(CodeOverTemperature, latchRows), p.times(CodeUnderTemperature, latchRows)
	c.tooHigh.need = p.times(CodeOverVoltage, latchRows)
	c.add(m)
	return c
}

// add takes a row in which current flows. It reports whether it is time to look
// at the whole again.
func (c *charge) add(m *mark) (ask bool) {
	if c.stopped {
		c.halt, c.spent = *m, m.sum
	}
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
	c.hold, c.peak = findHold(&c.trace, c.sighted, volts, amps), peak{}
	if !c.hold.found && (o.Chemistry == "" || o.Chemistry.Nickel()) {
		tr := &c.trace
		n := len(tr.bins) - 1
		full := tr.fullUntil(n, c.most)
		if !c.pauses.recovering(tr.end.t) {
			c.peak = findPeak(tr, full, o.Cells, volts)
			c.peak.found = c.peak.found && (o.Chemistry != "" || c.peak.likeNickel(tr, full, volts))
			if !c.peak.found && full < n && levelled(tr, full, o.Chemistry, volts) {
				last := &tr.bins[full-1]
				c.peak = peak{found: true, at: last.t1, volts: last.v()}
			}
		}
		// A peak that was seen stays one, also when a trickle follows, unless the
		// voltage goes on to rise, or the full current that had only been done with.
		if v, _, _ := tr.mean(tr.tailEnd(n, 2, 0), n); had.found && !c.peak.found && v < had.volts && (had.drop > 0 || full < n) {
			c.peak = had
		}
	}
	return c.hold.found || c.peak.found != had.found || held
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
	c.stopped, c.halt, c.spent = true, *last, next.sum
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

// went is what has gone in while current flowed, C.
func (c *charge) went() float64 { return c.stop().sum.in - c.begin.sum.in }

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

// view is a charge seen as a whole at one moment: the answers of all parts,
// with boundaries dated back.
type view struct {
	id         identity
	set        float64 // A
	held       float64 // V
	cv         float64 // s, NaN without constant voltage
	bend       bend
	finish     float64 // s, NaN while not complete
	endedBy    EndedBy
	finishWhy  string
	tail       float64 // A, just before the end
	limit      tailLimit
	constantAt int // bin of cv
}

func (c *charge) view(o *Options, volts, amps *meter) view {
	tr := &c.trace
	v := view{cv: Unknown(), finish: Unknown(), held: Unknown(), tail: tailCurrent(tr)}
	end := len(tr.bins)
	v.constantAt = end
	if c.hold.found {
		level := heldVolts(tr, tr.index(c.hold.from), end, c.hold.volts)
		v.bend = findBend(tr, &c.hold, level, volts, amps, &c.bent)
		v.cv = v.bend.at
		v.constantAt = firstBinAfter(tr, v.cv)
	}
	v.set = setCurrent(tr, v.constantAt)
	if c.hold.found {
		v.held = heldVolts(tr, v.constantAt, end, c.hold.volts)
	}
	v.id = infer(o, tr, &c.hold, v.held, &c.peak)
	v.limit = newTailLimit(o, v.id.chemistry)
	v.limit.unseen = c.unseen
	c.finished(&v, amps, volts)
	return v
}

// finished fills in whether and when the charge was complete.
func (c *charge) finished(v *view, amps, volts *meter) {
	tr := &c.trace
	end := len(tr.bins)
	v.endedBy = EndLogEnded
	if c.stopped {
		v.endedBy = EndCurrentStopped
	}
	if c.hold.found {
		if Known(starvedSince(tr, v.constantAt, end, c.hold.volts, v.set, volts, amps)) {
			return
		}
		step, stepped := steppedDown(tr, v.constantAt, end, v.held, v.set)
		held := end // no mean of the current may reach across the step
		if stepped {
			held = firstBinAfter(tr, step)
		}
		at, ok := reachedTail(tr, v.constantAt, held, &v.limit, c.begin.sum, amps)
		if !ok && c.stopped && !stepped {
			at, ok = ranOut(tr, v.constantAt, &v.limit, c.begin.sum, amps)
		}
		if ok {
			v.finish, v.endedBy = at, EndTailCurrent
			v.finishWhy = fmt.Sprintf("the current fell to the %s", v.limit.why)
		}
		// A step down takes the current through the tail in the same moment.
		if stepped && !(step > tr.next(v.finish)) {
			v.finish, v.endedBy = step, EndFloat
			v.finishWhy = fmt.Sprintf("the charger stepped down from %.2f V to hold a lower voltage", v.held)
		}
		share, of := endedByCutOff, "set"
		if v.constantAt == 0 {
			share, of = endedByCutOffAlone, "first seen, as much of the set current as showed"
		}
		if !Known(v.finish) && c.stopped && v.tail <= cutOffSlack*share*v.set {
			v.finish = c.stop().t
			v.finishWhy = fmt.Sprintf("the current stopped at %.3g A in constant voltage, about %.0f %% or less of the %.3g A %s: the charger's own end", v.tail, share*100, v.set, of)
		}
		return
	}
	switch p := &c.peak; {
	case p.found && p.drop > 0:
		v.finish, v.endedBy = p.at, EndVoltagePeak
		v.finishWhy = fmt.Sprintf("the voltage peaked at %.3f V and sank by %.0f mV at a steady current", p.volts, p.drop*1000)
	case p.found:
		v.finish, v.endedBy = p.at, EndVoltagePeak
		v.finishWhy = fmt.Sprintf("the voltage had stopped rising, at %.3f V, when the charger stepped down, as nickel does when full", p.volts)
	case c.stopped && (c.over || c.pauses.count == 0) && levelled(tr, end, v.id.chemistry, volts):
		v.finish, v.endedBy = c.stop().t, EndVoltagePeak
		v.finishWhy = "the voltage had stopped rising when the current stopped, as nickel does when full"
	}
}

// firstBinAfter is the first bin that lies wholly after t.
func firstBinAfter(tr *trace, t float64) int {
	k := tr.index(t)
	for k < len(tr.bins) && tr.bins[k].t0 < t {
		k++
	}
	return min(k, len(tr.bins))
}

// setCurrent is the current limit as seen before bin end, A: what most of the
// time flowed, or, where the current was not steady, what it was at its highest
// for a while.
func setCurrent(tr *trace, end int) float64 {
	if end == 0 {
		end = min(1, len(tr.bins))
	}
	h := tr.histogram(end)
	for k := range end {
		b := &tr.bins[k]
		h.add(b.i(), max(b.t1-b.t0, 1e-3))
	}
	middle := h.quantile(0.5)
	if most := 1.05 * middle; h.most > most {
		if high := h.quantile(0.95); high > most {
			return high
		}
	}
	return middle
}

// heldVolts is the median voltage from bin cv to bin end, leaving out what is far
// from the level (a float, a pause).
func heldVolts(tr *trace, cv, end int, level float64) float64 {
	h := tr.histogram(end - cv)
	for k := cv; k < end; k++ {
		b := &tr.bins[k]
		if math.Abs(b.v()-level) < floatDrop*level {
			h.add(b.v(), max(b.t1-b.t0, 1e-3))
		}
	}
	if h.empty() {
		return level
	}
	return h.quantile(0.5)
}

// tailCurrent is the mean current of the last half minute, or of the last row
// where rows are rarer, A.
func tailCurrent(tr *trace) float64 {
	n := len(tr.bins)
	if n == 0 {
		return Unknown()
	}
	_, i, _ := tr.mean(tr.tailEnd(n, 1, 30), n)
	return i
}
