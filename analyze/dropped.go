package analyze

import "fmt"

// droppedShare: a current that stops in constant voltage at less than this share
// of the set current was most likely stopped by the charger's own tail, which
// lies at a tenth of it for a quick charge and at a third for one at a fifth of
// capacity. The charge still counts as cut short by the rules of its outcome,
// but that is no cause for a warning. Common practice, no source.
const droppedShare = 1.0 / 3

// droppedUnsure is the same where nobody stated a capacity: after a charge of a part of it
// nobody knows what share of it a current is.
const droppedUnsure = 0.5

// droppedTails is the same in tails: makers end a taper at anything from half to twice what is
// usual, a tenth to a thirtieth of the capacity for lithium, which an unknown battery may be.
// After a slow charge that is no small share of the set current.
const droppedTails = 2

// ebbedShare is the same where it fell with the voltage at its highest, within so many
// seconds.
const (
	ebbedShare   = 0.75
	ebbedSeconds = 120
)

// nickelFilled: nickel that has taken so much of its capacity may well be full. Chargers that
// stop at how fast it warms do so before its voltage sinks, and a coarse voltmeter does not
// show it sink. Common practice, no source.
const nickelFilled = 0.9

// A shorter flow was no charge in mid-way but a try; one of a few digits is the
// flicker of the meter's zero.
const (
	droppedLeast  = 300 // s
	droppedDigits = 3
)

// A source that fades, as the sun does in the evening, is at little by the time that it stops: nothing drops. It
// passes from half to a fifth of its current gradually; a charger that throttles steps. Common practice, no source.
const (
	sunSets    = 0.05 // of the highest current that lasted a minute: with less it has all but stopped already
	sunHalf    = 0.5
	sunFifth   = 0.2
	sunSeconds = 600
)

// A charger that looks at the open circuit is back within minutes; one that has done so
// before, within twice as long.
const (
	droppedSeconds = 300 // s without current
	droppedPauses  = 2   // times the longest pause so far
)

// currentDropped: the current stopped in mid-charge while the battery was still there.
// It is seen after some minutes, and told once the current will not come back; if it
// does, it was an interruption (see pauses.go). It clears when the current is back hours later, in a
// charge that goes on with this one (see continued.go). now is the time of the last row, s.
func currentDropped(c *charge, v *view, o *Options, volts, amps *meter, now float64, f *findings) {
	patience := o.Patience.of(CodeCurrentDropped)
	if idle := now - c.stop().t; !c.over && (idle < patience*droppedSeconds || idle < droppedPauses*c.pauses.longest) {
		return
	}
	if c.toppedUp() {
		return
	}
	if c.stop().t-c.begin.t < patience*droppedLeast || v.set <= droppedDigits*amps.step() {
		return
	}
	tapered, own := c.tapered(v, o, volts)
	if o.Capacity <= 0 && Known(v.cv) && v.constantAt == 0 {
		return // the set current never showed, so nobody knows what share of it this is
	}
	filled := v.id.chemistry.Nickel() && o.Capacity > 0 && c.went() > nickelFilled*o.Capacity
	if tapered || filled || c.setLikeTheSun(v.tail) || c.ebbed(v, own, volts) || f.explainsEnd(c.stop().t) || c.mayBeDone(v) || c.steepens(v, o, volts) {
		return
	}
	f.raise(CodeCurrentDropped, c.stop().t, fmt.Sprintf("the current stopped at %s with %.3g A still flowing, before the charge was complete; the battery was still there. "+
		"A timer or capacity limit of the charger, a tripped protection or lost mains are usual: look at the charger's lamps, then at the mains", clock(c.stop().t), v.tail))
}

// setLikeTheSun reports whether a current that stopped at some amperes had faded away before.
func (c *charge) setLikeTheSun(tail float64) bool {
	last := func(share float64) float64 {
		k := len(c.trace.bins) - 1
		for k > 0 && c.trace.bins[k].i() < share*c.most {
			k--
		}
		return c.trace.bins[k].t1
	}
	return tail < sunSets*c.most && last(sunFifth)-last(sunHalf) >= sunSeconds
}

// tapered reports whether the current had fallen so far by the time it stopped, at a voltage that pushed it
// back, that it was most likely the charger's own end; own is what it may have come to by itself, A.
func (c *charge) tapered(v *view, o *Options, volts *meter) (yes bool, own float64) {
	limit := v.limit
	if v.id.chemistry == "" {
		limit = newTailLimit(o, LiIon)
	}
	own, share := droppedTails*limit.at(c.went()), droppedShare
	if o.Capacity <= 0 {
		share = droppedUnsure
	}
	last := c.trace.ending(0, len(c.trace.bins), 4, 0)
	fell := v.tail < o.Patience.of(CodeCurrentDropped)*max(share*v.set, own)
	return fell && (Known(v.cv) || c.trace.pushedBack(&last, c.most, volts) || c.trace.hunted(c.most)), own
}

// steepens reports whether the voltage of nickel had begun to climb to its peak, when chargers
// that go by its temperature stop.
func (c *charge) steepens(v *view, o *Options, volts *meter) bool {
	s := sight{c: c, v: v, o: o, volts: volts, end: len(c.trace.bins) - 1}
	_, risen, _ := s.nickelRise()
	return risen || c.climbed(o, s.end, volts)
}

// ebbed reports whether the current had fallen to a fraction, or to its own end, A, with the
// voltage at its highest: that is the end of a taper too short to be seen as a held
// voltage, or hardly, for LiFePO4 comes to its limit full, and there the current falls within a
// minute. A source that gives way takes the voltage down with it.
func (c *charge) ebbed(v *view, own float64, volts *meter) bool {
	tr, last := &c.trace, c.stop()
	if last.t-v.cv >= ebbedSeconds {
		return false
	}
	return tr.bins[len(tr.bins)-1].v() > tr.top-max(heldSlack*tr.top, 4*volts.noise(), 1.2*volts.step()) &&
		last.i < max(ebbedShare*v.set, own)
}

// hunted reports whether the current, of so many amperes at the most, faded away at the end of the
// bins while the voltage swung about its highest, by less than what tells one limit from another: a
// charger that hunts about its limit too widely for it to be seen held. A source that gives way takes
// the voltage down.
func (tr *trace) hunted(most float64) bool {
	n := len(tr.bins) - 1 // the last bin may be mixed with the stop
	from := n
	for from > 0 && tr.bins[from-1].v() > tr.top*(1-heldRisen) {
		from--
	}
	if n-from < heldBins || tr.bins[n-1].t1-tr.bins[from].t0 < heldSurely {
		return false
	}
	q, _, _ := quarters(tr, from, n)
	return q[0] > halfWay*most && q[1] < q[0] && q[2] < q[1] && q[3] < q[2]
}

// explainsEnd reports whether something held, when the current stopped, for which a
// charger, or a person, would end a charge.
func (f *findings) explainsEnd(stop float64) bool {
	for _, code := range []string{CodeOpenCircuit, CodeThermalRunaway, CodeOverTemperature, CodeUnderTemperature, CodeStalled, CodeVoltageNotReached, CodeNoTaper, CodeOverCapacity, CodeRunningLong} {
		if g := f.find(code); g != nil && !(float64(g.EndS) < stop) {
			return true
		}
	}
	return Known(f.first(CodeOverVoltage)) // it clears as the current stops
}
