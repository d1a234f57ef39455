package analyze

import "fmt"

// Over capacity: more has gone in than the battery can have needed (needs.go), or
// than a person allowed. What goes in beyond makes gas and heat, or goes past the
// battery into a load. A nickel pack whose charger misses the voltage peak, or whose
// peak does not come, ends here. Float after the end counts only against a set limit.
// What has gone in stays in, so it clears only where the limits are set anew. Where the
// charge is known to become heat, a default limit says nothing that was not said.
func overCapacity(s *sight) claim {
	if limit, why := s.setCharge(); limit > 0 && s.went() > limit {
		return claim{holds: true, since: s.whenIn(limit), message: fmt.Sprintf("%.3g Ah have gone in, more than the limit of %.3g Ah (%s): see whether the battery is warm; if so, or if nobody expects it to take more, switch the charger off", ampHours(s.went()), ampHours(limit), why)}
	}
	if s.heats() && !s.still(CodeOverCapacity) {
		return claim{}
	}
	limit, why := s.mostNeeded()
	limit *= s.o.Patience.of(CodeOverCapacity)
	if in := s.untilFinish() - s.phantom; limit > 0 && in > limit {
		return claim{holds: true, since: s.whenIn(limit + s.phantom), message: fmt.Sprintf("%.3g Ah have gone in, more than the %.3g Ah that the battery can have needed (%s): %s. Feel whether it is warm; if so switch the charger off", ampHours(in), ampHours(limit), why, s.beyondCause())}
	}
	return claim{}
}

// heats reports whether three findings have told already that what goes in heats the battery instead
// of charging it, as with a shorted cell: it gets nowhere, its voltage is not reached, and it is hot.
func (s *sight) heats() bool {
	f := &s.c.findings
	return f.holds(CodeVoltageNotReached) && Known(f.first(CodeStalled)) && Known(f.first(CodeOverTemperature))
}

// beyondCause says where the rest may have gone, the likelier first.
func (s *sight) beyondCause() string {
	if s.v.id.chemistry.Nickel() {
		return "its voltage peak was missed or did not come, or its capacity is more than was told"
	}
	return "a cell is shorted or leaks, a load hangs beside the battery, or its capacity is more than was told"
}

// setCharge is the limit that a person set, C, and how; 0 is none.
func (s *sight) setCharge() (charge float64, why string) {
	l := &s.o.Limits
	switch {
	case l.Charge > 0:
		return l.Charge, "as set"
	case l.ChargeFactor > 0:
		return l.ChargeFactor * s.o.Capacity, fmt.Sprintf("%.3g times the capacity, as set", l.ChargeFactor)
	}
	return 0, ""
}

// whenIn is when so much had gone in, s.
func (s *sight) whenIn(charge float64) float64 {
	tr := &s.c.trace
	return tr.bins[tr.indexIn(s.c.begin.sum.in+charge)].t0
}
