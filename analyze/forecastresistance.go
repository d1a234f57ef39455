package analyze

import "math"

// The resistance of li-ion tells how long its taper will be. At a held voltage V = E + I R,
// what goes in lifts E along its slope, and the current falls with the time constant of
// R over that slope. The slope near full is much the same for all makes; the resistance
// is not, and shows as soon as the current begins to flow.
//
// Lead-acid's taper is that of its acid and its gas, and LiFePO4's slope is another at
// each moment: there it told nothing.

const (
	stepAfter      = 240  // s from the first current: what spreads within minutes counts as well
	stepGrows      = 1.2  // what spreads within half an hour adds to it
	slopeNearFull  = 1.0  // V a cell for all of its capacity (open logs of two makes of nickel: 0.9 to 1.1 on the way to the limit)
	constantByStep = 0.35 // how sure the constant is by these, as a logarithm
)

// byResistance is a taper's time constant, as its logarithm, of s, by the step from the
// voltage at rest to that under current.
func (s *sight) byResistance() (guess, bool) {
	tr := &s.c.trace
	k := tr.index(s.c.begin.t + stepAfter)
	if s.v.id.chemistry != LiIon || !Known(s.c.resting) || s.o.Capacity <= 0 || k < 2 {
		return guess{}, false
	}
	then := tr.blockOf(k-2, k+1)
	ohm := (then.v - s.c.resting) / then.i / float64(s.c.bounds.of.cells)
	if !(ohm > 0) {
		return guess{}, false
	}
	return guess{math.Log(stepGrows * ohm * s.o.Capacity / slopeNearFull), constantByStep}, true
}
