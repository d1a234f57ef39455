package analyze

import "fmt"

// This file is about when a charge was complete, and what tells so.

// Where a charger ends a charge by itself.
const (
	endedByCutOff      = 0.10 // of the set current: stopping at so little in constant voltage is the charger's own end
	endedByCutOffAlone = 0.20 // the same, of the first current, where the voltage was held from the first
	cutOffSlack        = 1.15 // times that: the rows before a charger stops lie above the current at which it does
)

// finished fills in whether and when the charge was complete.
func (c *charge) finished(v *view, o *Options, amps, volts *meter) {
	v.endedBy = EndLogEnded
	if c.stopped {
		v.endedBy = EndCurrentStopped
	}
	if c.hold.found {
		c.finishedHeld(v, o, amps, volts)
		return
	}
	c.finishedUnheld(v, o, volts)
}

// finishedHeld is of a charge whose voltage was held: the tail, a step down to float, or the charger's own end.
func (c *charge) finishedHeld(v *view, o *Options, amps, volts *meter) {
	tr := &c.trace
	end := tr.steady()
	if at, lasted := c.starvedSince(v, end, o, volts, amps); lasted || Known(at) && !c.stopped {
		c.tailedOff(v, tr.index(at), amps) // before it gave way
		return
	}
	step, stepped := steppedDown(tr, v.constantAt, end, v.held, c.hold.slack, v.set, v.limit.at(c.went()))
	held := end // no mean of the current may reach across the step
	if stepped {
		held = firstBinAfter(tr, step)
	}
	if !c.tailedOff(v, held, amps) && c.stopped && !stepped {
		c.tailedAway(v, end, o, amps)
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
	if limit := v.limit.at(c.went()); !Known(v.finish) && c.stopped && v.tail <= cutOffSlack*limit {
		v.tailed(c.stop().t)
		v.finishWhy += ", or so near it that the charger will have ended there by itself"
	}
}

// tailedAway is of a current that stopped before it was seen below the tail: it may have come to it between the
// last two rows, or be below it for all that the meter tells.
func (c *charge) tailedAway(v *view, end int, o *Options, amps *meter) {
	limit := v.limit.at(c.went())
	if at, ok := ranOut(&c.trace, v.constantAt, end, &v.limit, c.begin.sum, amps); ok {
		v.tailed(at)
	} else if v.tail <= limit+o.Current.orDefault().u(limit, amps.step()) {
		v.tailed(c.stop().t)
		v.finishWhy += ", as far as this meter can tell"
	}
}

// finishedUnheld is of a charge whose voltage was not held: the peak of nickel, or a limit that was there and gone.
func (c *charge) finishedUnheld(v *view, o *Options, volts *meter) {
	tr := &c.trace
	end := tr.steady()
	switch p := &c.peak; {
	case !p.found && c.stopped && !v.id.chemistry.Nickel() && c.ranDown(v, volts):
		limit := max(v.limit.at(c.went()), endedByCutOff*v.set)
		v.finish, v.endedBy = crossing(tr, 0, end-1, limit), EndTailCurrent
		v.finishWhy = fmt.Sprintf("the current fell to %.3g A within a row or two while the voltage went on to rise, to its limit: the tail, or the charger's own end", tr.bins[end-1].i())
	case p.found && p.drop > 0:
		v.finish, v.endedBy = p.at, EndVoltagePeak
		v.finishWhy = fmt.Sprintf("the voltage peaked at %.3f V and sank by %.0f mV at a steady current", p.volts, p.drop*1000)
	case p.found:
		v.finish, v.endedBy = p.at, EndVoltagePeak
		v.finishWhy = fmt.Sprintf("the voltage had stopped rising, at %.3f V, when the charger stepped down, as nickel does when full", p.volts)
	case c.stopped && (c.over || c.pauses.count == 0) && levelled(tr, end, o, volts):
		v.finish, v.endedBy = c.stop().t, EndVoltagePeak
		v.finishWhy = "the voltage had stopped rising when the current stopped, as nickel does when full"
	}
}

// ranDown reports whether the current fell to the tail, or to a charger's own end, in the last row or two, with
// a voltage that rose meanwhile: LiFePO4 is full at its limit, and there the current is gone before a slow log
// sees anything held. Whatever else takes a current away takes the voltage down.
func (c *charge) ranDown(v *view, volts *meter) bool {
	tr := &c.trace
	n := tr.steady()
	if n < leastClimb || tr.bins[n-1].i() > max(v.limit.at(c.went()), endedByCutOff*v.set) {
		return false
	}
	last, sure := tr.bins[n-1].v(), max(3*volts.noise(), 1.2*volts.step())
	for k := n - 2; k >= n-1-ranDownBins; k-- {
		switch b := &tr.bins[k]; {
		case b.v() > last+sure:
			return false
		case b.i() > droppedUnsure*v.set && b.v() < last-sure:
			return true
		}
	}
	return false
}

// ranDownBins is within how many rows; what falls more slowly shows as a held voltage.
const ranDownBins = 3

// tailedOff fills in when the current came to the tail before bin end, if it did.
func (c *charge) tailedOff(v *view, end int, amps *meter) bool {
	tr := &c.trace
	at, ok := reachedTail(tr, v.constantAt, end, &v.limit, c.begin.sum, amps)
	if !ok {
		limit := v.limit.at(tr.bins[end-1].at.in - c.begin.sum.in)
		k := beforeLoad(tr, v.constantAt, end, limit, v.held-c.hold.slack)
		at, ok = reachedTail(tr, v.constantAt, k, &v.limit, c.begin.sum, amps)
	}
	if ok && c.hold.leapt && at <= tr.bins[min(v.constantAt+atFirstBins, end-1)].t0 {
		return false // it never took more, and it was empty
	}
	if ok {
		v.tailed(at)
	}
	return ok
}

func (v *view) tailed(at float64) {
	v.finish, v.endedBy = at, EndTailCurrent
	v.finishWhy = fmt.Sprintf("the current fell to the %s", v.limit.why)
}
