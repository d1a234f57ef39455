package analyze

import (
	"fmt"
	"math"
)

// The forecast: when a running charge will be complete and what will have gone
// in, with a 95 % interval.
//
// In constant current there is a charge to go until the voltage limit, and a taper
// after it. The charge to go is judged twice, and the two are weighed by how sure
// they are: from what the battery needs in all (its capacity, its rest voltage
// before the charge, and what earlier nights took; see forecastneed.go), which is
// good early, and from the voltage's path towards the limit, which is good late.
// In constant voltage the taper's own shape tells (forecasttaper.go). What comes
// out is a mean and a standard deviation, in s; as long as nothing is known to go
// by, there is no forecast.

// outlook is a forecast in the making.
type outlook struct {
	ok      bool
	finish  float64 // s
	u       float64 // s, standard uncertainty
	in      float64 // C that will have gone in
	basis   string
	power   float64  // of the taper (see forecasttaper.go), NaN where none was seen
	seen    float64  // s, when it was made
	amps    float64  // A, mean of the last half hour
	revised string   // how it moved far not long ago, and why
	moved   float64  // s, when
	anchor  *outlook // what later ones are compared with; never changed once made
	surest  *outlook // and the one since that was the surest, likewise
	tau     guess    // logarithm of the taper's time constant, s
}

const (
	// Steadier than the last minute, where a charger pauses or pulses.
	forecastMean = 1800 // s
	// Sooner than this there is no path to speak of.
	forecastLeast = 300 // s
	// A forecast that moves by more than this share of its interval says why.
	forecastJump = 0.75
	// And does so for an hour.
	forecastTold = 3600 // s
)

// follows is the forecast after the last one. It says so where it has moved far from what was said
// before, all at once or little by little: from what it last told, or from the surest it
// said since.
func (p *prospect) follows(last *outlook) outlook {
	n := p.ahead(last.tau)
	n.anchor, n.surest = last.anchor, last.surest
	if p.now-last.moved < forecastTold {
		n.revised, n.moved = last.revised, last.moved
	}
	old := n.surest
	if !n.far(old) && n.far(n.anchor) {
		old = n.anchor
	}
	switch {
	case !n.ok: // but what was said is not forgotten
	case old == nil:
		n.anchor, n.surest = n.alone(), n.alone()
	case n.far(old):
		n.revised = fmt.Sprintf("moved from %s, as was said at %s, to %s at %s: %s", clock(old.finish), clock(old.seen), clock(n.finish), clock(p.now), n.cause(old))
		n.moved = p.now
		n.anchor, n.surest = n.alone(), n.alone()
	case n.u < old.u:
		n.surest = n.alone()
	}
	return n
}

// far reports whether a forecast lies so far from an earlier one that it must say why.
func (n *outlook) far(old *outlook) bool {
	return old != nil && math.Abs(n.finish-old.finish) > forecastJump*2*old.u
}

// alone is a copy that remembers nothing of the past.
func (n *outlook) alone() *outlook {
	c := *n
	c.anchor, c.surest = nil, nil
	return &c
}

// cause says why a forecast has moved away from the one before.
func (n *outlook) cause(old *outlook) string {
	switch {
	case n.basis != old.basis:
		return "it now rests on " + n.basis
	case !Known(n.power) && math.Abs(n.amps-old.amps) > 0.05*old.amps: // a taper's always does
		return fmt.Sprintf("the current changed from %.3g to %.3g A", old.amps, n.amps)
	case n.finish > old.finish:
		return "it goes slower than was expected"
	}
	return "it goes quicker than was expected"
}

// told is the forecast as people and programs get it; nil while there is none.
func (n *outlook) told() *Forecast {
	if !n.ok {
		return nil
	}
	method := n.basis
	if Known(n.power) {
		method += fmt.Sprintf(" (its rate goes with the current to the power %.1f)", n.power)
	}
	if n.revised != "" {
		method += "; " + n.revised
	}
	return &Forecast{FinishS: Number(n.finish), FinishSU95: Number(2 * n.u), ChargeInAh: Number(ampHours(n.in)), Method: method}
}
