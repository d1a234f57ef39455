package analyze

import (
	"fmt"
	"math"
)

// flicker counts the moments for which a clamp that works loose loses its contact. For a row or
// two the current is gone, and the leads show what the charger drives them to with nothing on
// them, above all that the battery has stood at. A battery answers the other way: without
// current its voltage falls. So such a row tells nothing of the battery, and no current flowed in
// it; and where there are some of them within minutes they are no spoilt lines, for these would
// have to be wrong in both values, and in the one way that makes sense. Where voltage and current
// are of two meters, a pulse of the charger may show in one earlier than in the other.
// Thresholds: common practice, no source.
type flicker struct {
	times       int
	since, last float64 // s, the first and the last of them
	volts       float64 // V, in the last
	battery     float64 // V, the most that the battery had stood at by then
}

const (
	flickerAbove   = 0.03 // of that: twice what rows in a row must show
	flickerDigits  = 2    // of the meter, beyond that
	flickerSeconds = 600  // s without another, after which it is over
)

// flickers reports whether the contact is lost in a row of a charge that goes on.
func (m *Machine) flickers(c *charge, r *mark) bool {
	if c.maxVolts < looseGone*r.v { // the battery has only now been put on
		return false
	}
	if !(r.v > c.maxVolts+flickerAbove*math.Abs(c.maxVolts)+flickerDigits*m.volts.step()) || r.skew > 0 || math.Abs(r.i-m.in.offset) > m.band() {
		return false
	}
	f := &c.flicker
	if f.times == 0 {
		f.since = r.t
	}
	f.times++
	f.last, f.volts, f.battery = r.t, r.v, c.maxVolts
	if f.loose(m.opt.Patience) {
		m.raise(c, CodeOpenCircuit, f.since, f.message())
	}
	return true
}

// steadied forgets them once there has been none for long.
func (m *Machine) steadied(c *charge, now float64) {
	f := &c.flicker
	if f.times == 0 || now <= f.last+flickerSeconds {
		return
	}
	if f.loose(m.opt.Patience) && c.loose.reason == "" {
		m.clear(c, CodeOpenCircuit, f.last)
	}
	*f = flicker{}
}

// loose reports whether they have been so many that a lead is loose.
func (f *flicker) loose(p Patience) bool { return f.times >= p.times(CodeOpenCircuit, looseRows) }

func (f *flicker) message() string {
	return fmt.Sprintf("%s so far, first at %s, the current was gone for a moment and the voltage leapt to %.2f V or so, where the battery had not stood above %.2f V: a lead is loose, and may spark. Look at the clamps; switch the charger off before touching them",
		times(f.times), clock(f.since), f.volts, f.battery)
}
