package analyze

import "fmt"

// Voltage not reached: a cell's whole voltage is gone (shorted.go, shortedheld.go), or constant current has gone on past the rated capacity, and
// a fifth more for a battery that is better than its label (needs.go), and the limit never
// came. A shorted cell takes the current without storing it and lacks its share
// of the voltage; with one cell more than was thought the charger's limit is out
// of reach. Nickel has no limit to reach, and one that was passed needs no reaching. Nor has
// a lead-acid battery whose cells all gas while the current ebbs: its source hunts about the
// limit, and a voltage that hunts is held late. Where all cells stand at a voltage that they are
// held at none is missing, and the limit may come any moment. Where the limit came as late on earlier
// nights it may so again (needs.go). It clears there, and when a limit
// comes to be held after all. Threshold: common practice, no source.
const (
	notReachedFactor  = 1.2
	notReachedUnknown = mostUnknown // the chemistry may be nickel
	// Of the set current. A source limited in power gives four fifths of it at 2.45 V a cell,
	// if it began at 2.0 V.
	notReachedEbbed = 0.75
)

func voltageNotReached(s *sight) claim {
	if gone := s.cellShorted(); gone.holds {
		return gone
	}
	c := s.o.Capacity
	if c <= 0 || s.still(CodeThermalRunaway) || s.c.hold.found || s.c.peak.found || s.v.id.chemistry.Nickel() || Known(s.c.findings.first(CodeOverVoltage)) {
		return claim{}
	}
	limit := notReachedFactor * c
	if s.v.id.chemistry == "" {
		limit = notReachedUnknown * c
	}
	own, _ := s.ownNeed(limit, func(e *Earlier) float64 { return e.ConstantIn })
	limit = max(limit, own) * s.o.Patience.of(CodeVoltageNotReached)
	if s.wentForSure() < limit {
		return claim{}
	}
	now, id := s.c.trace.ending(0, s.end, 4, 0), &s.c.bounds.of
	if gassing(id, now.v) && now.i < notReachedEbbed*s.v.set || id.allNearLimit(now.v) || gassing(id, now.v) && id.allThere(now.v) && s.noProgress(CodeStalled) {
		return claim{} // a limit is felt, or near; or it is full, as was said already
	}
	return claim{holds: true, since: s.whenIn(limit + s.phantom), message: fmt.Sprintf("%.3g Ah have gone in, %.0f %% of the rated capacity, and the voltage stands at %.2f V and has not been seen held: suspect a shorted cell (lead-acid: about 2 V short, and warm), or a charger set for more cells. Compare the cells or blocks with a meter",
		ampHours(s.wentForSure()), 100*s.wentForSure()/c, now.v)}
}

// allThere reports whether a battery stands higher than it could with one cell less.
func (id *identity) allThere(volts float64) bool {
	return id.cells > 0 && volts > onChargeOf(id.chemistry).most*float64(id.cells-1)
}

// allNearLimit reports whether all cells of a battery stand at a voltage at which chargers hold them.
func (id *identity) allNearLimit(volts float64) bool {
	if !id.allThere(volts) {
		return false
	}
	perCell := volts / float64(id.cells)
	for _, f := range families {
		low := f.low
		if f.chemistry.Lead() {
			low = gassingFrom
		}
		if f.chemistry == id.chemistry || f.chemistry.Lead() && id.chemistry.Lead() {
			return perCell > low && perCell <= f.high
		}
	}
	return false
}
