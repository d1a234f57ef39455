package analyze

import "fmt"

// Voltage not reached: constant current has gone on past the rated capacity, and
// something more for a battery that is better than its label, and the limit never
// came. A shorted cell takes the current without storing it and lacks its share
// of the voltage; with one cell more than was thought the charger's limit is out
// of reach. Nickel has no limit to reach, and one that was passed needs no reaching. Nor has
// a lead-acid battery whose cells all gas while the current ebbs: its source hunts about the
// limit, and a voltage that hunts is held late. It clears when a limit comes to be held after
// all. Threshold: common practice, no source.
const (
	notReachedFactor  = 1.1
	notReachedUnknown = mostUnknown // the chemistry may be nickel
	// Of the set current. A source limited in power gives four fifths of it at 2.45 V a cell,
	// if it began at 2.0 V.
	notReachedEbbed = 0.75
)

func voltageNotReached(s *sight) claim {
	c := s.o.Capacity
	if c <= 0 || s.c.hold.found || s.c.peak.found || s.v.id.chemistry.Nickel() || Known(s.c.findings.first(CodeOverVoltage)) {
		return claim{}
	}
	limit := notReachedFactor * c
	if s.v.id.chemistry == "" {
		limit = notReachedUnknown * c
	}
	limit *= s.o.Patience.of(CodeVoltageNotReached)
	if s.wentForSure() < limit {
		return claim{}
	}
	now := s.c.trace.ending(0, s.end, 4, 0)
	if gassing(&s.c.bounds.of, now.v) && (s.noProgress(CodeStalled) || now.i < notReachedEbbed*s.v.set) {
		return claim{} // no cell is missing: it is full, as was said already, or a limit is felt
	}
	return claim{holds: true, since: s.whenIn(limit + s.phantom), message: fmt.Sprintf("%.3g Ah have gone in, %.0f %% of the rated capacity, and the voltage stands at %.2f V without having come to a limit: suspect a shorted cell (lead-acid: about 2 V short, and warm), or a charger set for more cells. Compare the cells or blocks with a meter",
		ampHours(s.wentForSure()), 100*s.wentForSure()/c, now.v)}
}
