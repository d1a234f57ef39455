package analyze

import (
	"fmt"
	"math"
)

// A charger that has to give way while it holds a voltage, to heat or to its own timer, takes
// the current down in one step, to one that it keeps; the voltage falls from the limit and goes
// where the battery wants it. A tail looks different, for there the voltage stays; so does a
// float, which holds another voltage while the current goes as it likes; and so does the
// trickle after the end, before which the current had faded; and so does the last step of a
// charger for lead-acid that ends as DIN 41772 calls IUIa, with a small current of its own:
// a battery that is nearly full climbs with it by a volt in an hour or two, where one with room left
// would climb by some hundredths. Common practice, no source.
const (
	starvedDrop    = 0.003  // of the held voltage, below it
	starvedSteady  = 0.05   // of the current: what is kept
	starvedMoves   = 0.0025 // of the held voltage: so far the voltage went meanwhile
	starvedSeconds = 3600   // so long the current was kept
	starvedSettles = 300    // s after the step that do not count
	starvedSteps   = 5      // of the meter: less current does not show whether it is kept
	starvedFilled  = 4      // times what the charge meanwhile explains: a battery that climbs by so much has no room left
)

// starved is of a charger that does not hold its limit any more.
func (s *sight) starved(now *block) claim {
	held := s.c.hold.volts
	since, lasted := s.c.starvedSince(s.v, s.end, s.o, s.volts, s.amps)
	if !lasted || !(s.now-since >= trickleSeconds*s.o.Patience.of(CodeStalled)) || now.i >= trickleShare*s.c.most {
		return claim{}
	}
	return claim{holds: true, since: since, message: fmt.Sprintf("only %.3g A of %.3g A since %s, and the voltage went from the held %.2f to %.2f V, before the charge was complete: the charger protects itself from heat, ran into its own timer, or its source fails. Look at what it shows, and feel whether it is hot",
		now.i, s.c.most, clock(since), held, now.v)}
}

// starvedSince is when a charger gave way at the held voltage, s, looking up to bin end;
// NaN where it did not. Until it has lasted, it may as well be a float whose battery takes what
// it took: whether the charge is complete then cannot be known yet.
func (c *charge) starvedSince(v *view, end int, o *Options, volts, amps *meter) (at float64, lasted bool) {
	tr, held := &c.trace, c.hold.volts
	k := keptSince(tr, v.constantAt, end, held, v.set, amps)
	if k < 0 {
		return Unknown(), false
	}
	at = tr.bins[k-1].t1
	low, high, now := math.Inf(1), math.Inf(-1), math.Inf(-1)
	for from := max(tr.index(at+starvedSettles), k); from < end; {
		to := max(tr.index(tr.bins[from].t0+starvedSettles), from+1)
		b := tr.blockOf(from, to)
		low, high, now = min(low, b.v), max(high, b.v), b.v
		from = to
	}
	lasted = tr.bins[end-1].t1-tr.bins[k].t0 >= starvedSeconds
	if lasted && high-low < max(starvedMoves*held, 3*volts.noise(), 1.5*volts.step()) {
		return Unknown(), false
	}
	if lasted && c.fills(&v.id, o, now-low-max(3*volts.noise(), volts.step()), tr.bins[end-1].at.in-tr.bins[k].at.in) {
		return Unknown(), false
	}
	return at, lasted
}

// fills reports whether a battery has climbed by so many volts, with so much charge, C, that it
// is nearly full. What it is rated for stands for its size, or else what went in.
func (c *charge) fills(id *identity, o *Options, climbed, in float64) bool {
	size := o.Capacity
	if size <= 0 {
		size = c.went()
	}
	slope, _ := slopeOf(id, c.hold.volts)
	return id.chemistry.Lead() && climbed > starvedFilled*slope*in/size
}

// keptSince is the bin from which on the current is what it is now, below the held voltage, after
// a step from a good part of the set one; -1 where it is not.
func keptSince(tr *trace, cv, end int, held, set float64, amps *meter) int {
	below := held * (1 - starvedDrop)
	left := end
	for left > cv && tr.bins[left-1].v() < below {
		left--
	}
	now := tr.ending(min(left+1, end-1), end, 8, starvedSettles) // the first bin may be mixed of both
	if now.v > below || now.i < starvedSteps*amps.step() {
		return -1
	}
	slack := max(starvedSteady*now.i, 5*amps.noise(), 1.5*amps.step())
	k := end
	for k > left && math.Abs(tr.bins[k-1].i()-now.i) <= slack {
		k--
	}
	// The bin before may be mixed of both.
	if k == end || k-2 < cv || tr.bins[k-2].i() < droppedShare*set {
		return -1
	}
	return k
}
