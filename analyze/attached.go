package analyze

import "math"

// attached is what a battery shows without current as long as it hangs on the leads (see looselead.go).
type attached struct {
	highest  float64 // V, that the charger held or reached
	most     float64 // V, above which it does not stand by itself
	least    float64 // V: with less there is no battery
	standing float64 // V, from which it must sink; NaN where nothing was held, or hardly any current flowed
	within   float64 // s, in which it must
	done     bool    // the charge was complete, or the battery is off since it rested: then that is no fault
}

// loosened asks whether a battery still hangs on the leads.
func (m *Machine) loosened(c *charge, r *mark) {
	v := m.view()
	b := attached{highest: c.highestVolts(v), least: c.goneVolts(r.t), done: Known(v.finish) || c.mayBeDone(v) || c.rest.off.is()}
	b.most = b.highest + looseAbove*math.Abs(b.highest)
	if c.drained(&m.volts) {
		b.most = b.highest / looseFar
	}
	b.standing, b.within = c.standing(v, &m.volts, &m.amps)
	if c.loose.push(&r.row, &b, m.opt.Patience.times(CodeOpenCircuit, looseRows)) {
		m.raise(c, CodeOpenCircuit, c.loose.since, c.loose.message())
	}
}

// A meter without a sign shows a discharge as it shows a charge. But a discharge takes the voltage
// down, from where it stood before, and on and on; a battery that it was taken from then comes back, by as
// much as one sinks after a charge at the most.
const (
	drainedBins   = 4   // at either end
	drainedSteady = 0.1 // of the current: a source that gives way takes the voltage down, too
)

// drained reports whether what seemed a charge may have been a discharge.
func (c *charge) drained(volts *meter) bool {
	tr := &c.trace
	n := len(tr.bins) - 1 - len(tr.bins)/8 // the last are mixed with the stop, by a meter that averages
	if n < 2*drainedBins {
		return false
	}
	v0, i0, rows := tr.mean(0, drainedBins)
	v1, i1, _ := tr.mean(n-drainedBins, n)
	if Known(c.resting) {
		v0 = c.resting
	}
	return math.Abs(i1-i0) < drainedSteady*i0 && v1 < v0-max(4*volts.noise()/math.Sqrt(rows), volts.step())
}

// highestVolts is what the charger held or reached, V: some lift a full battery further,
// for a while. Where nobody saw it end, it is no less than what the battery shows after
// it, which sinks from there.
func (c *charge) highestVolts(v *view) float64 {
	if Known(v.held) {
		return larger(v.held, c.hold.fed)
	}
	if c.blind.is {
		return larger(c.maxVolts, c.blind.after)
	}
	if c.stopped {
		return c.reached
	}
	return c.maxVolts
}

// goneVolts is a voltage below which no battery hangs on the leads at a time without current, V.
func (c *charge) goneVolts(t float64) float64 {
	if Known(c.resting) && t < c.stop().t+looseHour {
		return looseFar * c.resting
	}
	return 0
}

// standing is the voltage that a battery must sink from without current, V, and within how
// long, s; NaN where none was held, hardly a current flowed of which to feel the end, or the
// meter is too coarse to see it. With a coarse one it takes longer: no battery sinks more
// slowly in the first hour than in proportion.
func (c *charge) standing(v *view, volts, amps *meter) (float64, float64) {
	if !c.felt(v, amps) {
		return Unknown(), 0
	}
	last := c.lastVolts()
	fine := 2 * looseSunk * last
	unsure := max(3*volts.noise(), 0.6*volts.step())
	if unsure <= fine {
		return last - max(looseSunk*last, unsure), looseKept
	}
	unsure = max(looseScatter*volts.noise(), 0.6*volts.step())
	if unsure > looseLongest*fine {
		return Unknown(), 0
	}
	return last - unsure, looseKept * (unsure / fine)
}

// feltSteps is how many steps of the meter a current must have shown, so that it cannot
// have become too small to be seen.
const feltSteps = 10

// felt reports whether the current that flowed last at a held voltage was such that a battery's
// voltage falls when it stops: a third of the set one, or, of lead-acid, any that the meter showed
// well, for it never ceases to take current at its limit, and sinks as soon as it gets none. A
// lithium battery that is full stays where it was, and its electronics may open then. Where the
// charger held the voltage no more, a hot battery may stand as low without it. Common practice,
// no source.
func (c *charge) felt(v *view, amps *meter) bool {
	return c.hold.found && c.lastVolts() > v.held*(1-floatDrop) && (v.tail >= droppedShare*v.set || v.id.chemistry.Lead() && v.tail >= feltSteps*amps.step())
}

// surelySunk is a voltage below which nothing can be standing for some rows to come, over
// which the noise may grow, V.
func (c *charge) surelySunk(v *view, volts, amps *meter) float64 {
	if Known(v.finish) || !c.felt(v, amps) {
		return math.Inf(1)
	}
	last := c.lastVolts()
	return last - max(looseSunk*last, calmNoise*looseScatter*volts.noise(), 0.6*volts.step())
}
