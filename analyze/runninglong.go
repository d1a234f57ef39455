package analyze

import "fmt"

// Running long: past the time that a person set, or past what capacity, current
// and taper explain: the most that can be needed (needs.go) at the mean current
// of constant current so far, and after that the longest usual taper. A source that gives less
// as the voltage rises gives half of its first current where lead-acid begins to gas (DIN 41774,
// from memory); one that gave less in the mean was throttled, which explains no time. Chargers
// with a falling characteristic take 10 to 12 h in all; lithium-ion is cut off
// after 8 h in all by GB/T 18287, of which half is left to the taper. Without
// capacity or earlier nights only a set limit counts, and what nobody does to nickel: it
// is charged for 16 hours at a tenth of its capacity at most (IEC 61951-2), and a tenth
// more here. Past that, and for hours past a voltage peak, no battery needs all the
// current there was. It clears when the charge is complete, and when the current has stopped.
const (
	longestTaperLead    = 12 * 3600 // s
	longestTaperLithium = 4 * 3600
	longestTaperNickel  = 3600

	longestNickel = 1.1 * 16 * 3600 // s
	longestPeaked = 4 * 3600

	runningShare  = 0.5 // of the highest current that lasted a minute
	runningWarned = 3   // so many warnings of a charge that gets nowhere have said it already
)

func runningLong(s *sight) claim {
	elapsed := s.now - s.c.begin.t
	if Known(s.v.finish) {
		return s.pastPeak(elapsed)
	}
	if limit := s.o.Limits.Seconds; limit > 0 && elapsed > limit {
		return claim{holds: true, since: s.c.begin.t + limit, message: fmt.Sprintf("charging for %s, longer than the limit of %s as set, and not complete%s. Feel whether the battery is warm, and look at what the charger shows", clock(elapsed), clock(limit), s.expectation())}
	}
	need, why := s.mostNeeded()
	if need == 0 || s.warned(CodeStalled, CodeVoltageNotReached, CodeNoTaper, CodeOverCapacity) >= runningWarned {
		return claim{}
	}
	d := s.c.trace.bins[min(s.constantAt, s.end-1)]
	constant := d.t0 - s.c.begin.t
	if constant < leastSeconds {
		return claim{}
	}
	mean := (d.at.in - s.c.begin.sum.in) / constant
	if !s.v.id.chemistry.Nickel() { // which is topped off with little for hours
		mean = max(mean, runningShare*s.c.most)
	}
	limit := need/mean + longestTaper(s.v.id.chemistry)
	limit *= s.o.Patience.of(CodeRunningLong)
	if elapsed <= limit {
		return claim{}
	}
	return claim{holds: true, since: s.c.begin.t + limit, message: fmt.Sprintf("charging for %s, longer than the %s that %s at this current and a taper of %s explain%s. The battery may be failing, or a load hangs beside it: feel whether it is warm",
		clock(elapsed), clock(limit), why, clock(longestTaper(s.v.id.chemistry)), s.expectation())}
}

// pastPeak is of a charge that goes on with all its current although its voltage has peaked.
func (s *sight) pastPeak(elapsed float64) claim {
	p, loosen := &s.c.peak, s.o.Patience.of(CodeRunningLong)
	since := max(s.c.begin.t+longestNickel*loosen, p.at+longestPeaked*loosen)
	if need, _ := s.mostNeeded(); s.wentForSure() < need || !p.found || s.now <= since || s.c.trace.fullUntil(s.end, s.c.most) < s.end {
		return claim{}
	}
	return claim{holds: true, since: since, message: fmt.Sprintf("charging for %s with all the current there was, %s after the voltage peaked at %.2f V: it has been full since, and makes heat and gas. Feel whether it is warm, and switch the charger off",
		clock(elapsed), clock(s.now-p.at), p.volts)}
}

func longestTaper(c Chemistry) float64 {
	switch {
	case c.Lithium():
		return longestTaperLithium
	case c.Nickel():
		return longestTaperNickel
	}
	return longestTaperLead
}

// expectation is what the forecast has to say, as part of a sentence.
func (s *sight) expectation() string {
	n := s.c.foretold()
	if !n.ok {
		return ""
	}
	return fmt.Sprintf(" (by %s it will be at %s, give or take %s)", n.basis, clock(n.finish), clock(2*n.u))
}
