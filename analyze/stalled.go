package analyze

// Stalled: current flows, but the charge gets nowhere. Slow is not stalled: a
// large flat battery at a twentieth of its capacity shows almost no rise for
// hours, LiFePO4 none on its plateau for most of the night. Four things look
// different, and the message says which: a trickle in mid-charge (trickle.go), one after a
// limit was held (starved.go), one from the first (atmenu.go), and a voltage that stands at
// full current (flat.go).
//
// Of a battery that heats itself the alarm says it all. It clears when the current or the voltage moves again, when a limit is held, and
// when the current has stopped. Thresholds of all four: common practice, no source.
func stalled(s *sight) claim {
	if s.frozen || Known(s.v.finish) || s.still(CodeThermalRunaway) {
		return claim{}
	}
	now := s.c.trace.ending(0, s.end, 4, flatBlock)
	switch {
	case s.c.hold.found:
		return s.starved(&now)
	case now.i < trickleShare*s.c.most:
		return s.trickle(&now)
	}
	if c := s.atMenu(&now); c.holds {
		return c
	}
	return s.flat(now)
}
