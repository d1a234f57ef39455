package analyze

import "math"

// hold is the sight of a charger's voltage limit at work.
type hold struct {
	found bool
	from  float64 // s, where the stretch of held voltage seemed to begin
	volts float64 // V, its level when it was seen
	seen  float64 // s, when it was seen
	slack float64 // V, how far from the level still counted as held
	first float64 // A, mean current of the first quarter of what was seen
	last  float64 // A, of the last quarter
	least float64 // A, the least current since
	kept  float64 // s, until when the voltage was held without a break
	left  bool    // it has left that level
	leapt bool    // the voltage leapt to it as the charge began, and the current hardly falls
	fed   float64 // V, the highest since at which the charger went on to drive a current
}

const (
	heldSlack    = 0.0025    // of the voltage: 36 mV in 14.4 V, wider than usual drift, narrower than a step to float
	heldWidest   = floatDrop // of the voltage: what scatters more is no noise but a charger that pulses
	heldSeconds  = 60
	heldBins     = 8 // fewer, down to four, if the fall is steep
	steepFall    = 0.12
	heldFall     = 0.025  // of the current: at a held voltage, a source limited in power loses a tenth of that
	strayBins    = 2      // so many odd bins in a row (a pause, a spike) do not end the stretch
	heldRisen    = 0.01   // of the voltage: risen so far above, it was not held
	heldTaper    = 0.9    // of the current: fallen to less, it was
	heldSurely   = 1800   // s: held for so long, it was beyond doubt
	heldAgain    = 0.7    // of the current: fallen to less and back again, it was not held
	quarterSlack = 0.02   // of the whole fall: how little each quarter may fall
	fedShare     = 1. / 3 // of the least current so far: with less it may be a lead that works loose
	gradual      = 1.5    // times: what falls by less from bin to bin does not step
	loadLine     = 20     // times: so much more than the voltage moves must the current fall, each in its own measure
	fallLine     = 100    // the same where the voltage falls with it: a battery's own gives way by a fiftieth or two
	heldBack     = 0.98   // of the current: back to more, after a fall by less than a tenth, it wandered
	halfWay      = 0.5    // of the current: fallen to less it was a taper, whatever comes after
	unresolved   = 0.5    // of the meter's step: a voltage may have moved by so much unseen
	turned       = 1.25   // times the least current: more has turned, and falls no more
	limitPassed  = 0.005  // of the voltage: what is so far above a limit has passed it
	passedShare  = 0.2    // of the time: what was above for longer is no overshoot
)

// findHold looks, from the end of the trace back, for a voltage that is held while the
// current falls. That, not the level of either, is what tells constant voltage: under a
// current limit the voltage rises or (on a plateau) stands, but then the current stands
// too; a charger that throttles drops the current once, and the voltage with it. The fall
// must therefore go on through all four quarters of the stretch. It must also be many times
// what the voltage has moved, or may have moved unseen: an unregulated source gives less as
// the voltage rises, by a tenth for a hundredth or so, where a limit takes all for what the
// leads drop; and where a source gives way the battery's own voltage falls with the current,
// slightly, while a limit that has less to drive over its leads rises at most. Its level is that of the latest rows, though none from before a gap: they
// have come without one since a time, s.
func findHold(tr *trace, sighted float64, volts, amps *meter) hold {
	n := len(tr.bins) - 1 // the last bin is still open
	if n < 4 {
		return hold{}
	}
	ref := max(tr.tailEnd(n, 4, 0), min(tr.index(sighted), n-1))
	level, _, rows := tr.mean(ref, n)
	if level <= 0 {
		return hold{}
	}
	perBin := rows / float64(n-ref)
	slack := max(heldSlack*level, min(3*volts.noise()/math.Sqrt(perBin), heldWidest*level), 1.2*volts.step())
	from := heldSince(tr, ref, level, slack)
	if n-from < 4 || tr.bins[n-1].t1-tr.bins[from].t0 < heldSeconds {
		return hold{}
	}
	first, last, yes := fades(tr, from, n, level, volts, amps)
	if !yes {
		first, last, yes = fellAtOnce(tr, from, n, level, volts)
	}
	if !yes || passed(tr, n, level+max(limitPassed*level, slack)) {
		return hold{}
	}
	return hold{found: true, from: tr.bins[from].t0, volts: level, seen: tr.bins[n-1].t1, slack: slack, first: first, last: last, least: last, kept: tr.bins[n-1].t1, fed: level}
}

// fades reports whether the current falls on through the bins, beyond what the voltage's moving explains, and gives
// what it is in the first quarter of them and in the last, A.
func fades(tr *trace, from, n int, level float64, volts, amps *meter) (first, last float64, yes bool) {
	_, begun, _ := tr.mean(from, from+(n-from)/4)
	if _, now, _ := tr.mean(from+3*(n-from)/4, n); begun-now < heldFall*begun {
		return 0, 0, false // the usual case, for which two of the quarters do
	}
	q, moved, fewest := quarters(tr, from, n)
	fall := q[0] - q[3]
	sunk := -moved - unresolved*volts.step() - 2*volts.noise()*math.Sqrt(2/fewest)
	moved = max(math.Abs(moved), unresolved*volts.step())
	need := max(heldFall*q[0], max(loadLine*moved, fallLine*sunk)/level*q[0], 4*amps.noise()*math.Sqrt(2/fewest), 1.5*amps.step())
	if n-from < heldBins {
		need = max(need, steepFall*q[0])
	}
	if fall < need || q[0] < surely*larger(leastCurrent, 1.5*amps.digit()) { // as little as a meter's zero
		return 0, 0, false
	}
	for k := range 3 {
		if q[k]-q[k+1] < quarterSlack*fall {
			return 0, 0, false
		}
	}
	return q[0], q[3], true
}

// passed reports whether the voltage was above a level for a good part of the time, in
// the bins before end: then it is no limit. A source that fades, as the sun at a cloud or
// in the evening, leaves the battery at a voltage that stands for a while, too, but below
// what it had come to before.
func passed(tr *trace, end int, level float64) bool {
	if tr.top <= level {
		return false
	}
	above, whole := 0.0, 0.0
	for k := range end {
		b := &tr.bins[k]
		d := b.t1 - b.t0 + tr.width
		whole += d
		if b.v() > level {
			above += d
		}
	}
	return above > passedShare*whole
}

// quarters is the mean current of each quarter of the bins, by how much the voltage moved
// from the first to the last, and the rows in the poorest of them.
func quarters(tr *trace, from, to int) (q [4]float64, moved, fewest float64) {
	var v [4]float64
	fewest = math.Inf(1)
	for k := range q {
		a, b := from+k*(to-from)/4, from+(k+1)*(to-from)/4
		var rows float64
		v[k], q[k], rows = tr.mean(a, b)
		fewest = min(fewest, rows)
	}
	return q, v[3] - v[0], fewest
}

// until is the bin up to which a level that was held beyond doubt tells where it was held: what
// came after, as a current that is driven on above it, tells of something else.
func (h *hold) until(tr *trace) int {
	if !h.left || h.kept-h.from < heldSurely {
		return len(tr.bins)
	}
	return min(firstBinAfter(tr, h.kept), len(tr.bins))
}

// gaveWay reports whether the voltage sank away from a level at which it had not been for
// long, with a current that goes on falling without a step and is more than a float leaves:
// the source fades, and took both down together.
func (h *hold) gaveWay(tr *trace) bool {
	n := len(tr.bins) - 1
	if h.left || h.kept-h.from >= heldSurely {
		return false
	}
	for k := n - 2; k < n; k++ {
		b := &tr.bins[k]
		sunk := h.volts - b.v()
		if sunk < h.slack || b.i() < floatCurrent*h.first || b.i() > turned*h.least || h.first-b.i() > fallLine*sunk/h.volts*h.first {
			return false
		}
	}
	return tr.bins[n-3].i() < gradual*tr.bins[n-1].i()
}

// disproved reports whether a hold was none after all: the current, hardly fallen, is back
// where it was, as the mains wander; or the voltage went on to rise well above it, and the
// current has hardly fallen, or falls on as an unregulated source's does, or is back where
// it was. Noise in a slow log can look like the beginning of a taper, and so can a cloud
// over a solar panel. A voltage that was held for long was a limit, unless the current
// still fades, and is left to the alarms.
func (h *hold) disproved(tr *trace) bool {
	n := len(tr.bins) - 1
	v, i, _ := tr.mean(tr.tailEnd(n, 4, heldSeconds), n)
	if i > fedShare*h.least {
		h.fed = max(h.fed, v)
	}
	h.least = min(h.least, i)
	if h.gaveWay(tr) || h.leapt && h.climbed(tr, v, i) {
		return true
	}
	surely := h.kept-h.from >= heldSurely
	switch {
	case h.left:
	case math.Abs(v-h.volts) > h.slack, !surely && h.least < heldAgain*h.first && i > heldTaper*h.first:
		h.left = true // or the current comes and goes there
	default:
		h.kept = tr.bins[n-1].t1
	}
	if h.leapt {
		return false
	}
	if h.least > heldTaper*h.first && i > heldBack*h.first {
		return true
	}
	risen := v > h.volts*(1+heldRisen)
	fading := h.least > halfWay*h.first && i < h.least*(2-heldBack)
	return risen && (h.least > heldTaper*h.first || fading || i > heldTaper*h.first && !surely)
}
