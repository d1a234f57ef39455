package analyze

import (
	"fmt"
	"slices"
)

// What a battery can have needed at the very most, as a multiple of its rated
// capacity: what must be returned for each ampere-hour taken (valve-regulated
// lead-acid 1.04 to 1.12, vented 1.15 to 1.30, a battery maker; lithium over
// 0.99 comes back), times a fifth more capacity than rated, since a good 17 Ah
// battery gave 19.8 Ah (open log). Nickel: IEC 61951-2 puts 1.6 times in at a
// tenth of capacity, and a plain charger gives a fifth more than it is labelled (common
// practice, no source); a quick charge ends on its peak at 1.1 to 1.3.
const (
	mostVRLA       = 1.35
	mostVented     = 1.56
	mostLithium    = 1.25
	mostNickelSlow = 1.92
	mostNickel     = 1.45
	nickelQuick    = 0.3 // of capacity per hour
	mostUnknown    = mostNickelSlow

	// Without a capacity: so many times the largest charge of earlier nights.
	mostOfEarlier = 1.5
)

// With one, its own nights count where they went beyond that: a battery that night after night takes
// more and is complete holds more than its label says, which was told the first few times. Half
// more than any of its label needs is too much to get used to, and nickel that is charged past its
// peak every night is harmed by it. Common practice, no source.
const (
	ownNights = 3   // fewer may have gone wrong alike
	ownMore   = 1.2 // times the middle one of them: it may have been a little less empty
	ownBeyond = 1.5 // times what its label explains
)

// mostNeeded is the most that the battery can have needed, C, and why; 0 where
// nothing is known to go by.
func (s *sight) mostNeeded() (charge float64, why string) {
	c := s.o.Capacity
	if c <= 0 {
		if q := most(s.o.Earlier); q > 0 {
			return mostOfEarlier * q, fmt.Sprintf("%.2g times the %.3g Ah that was the most on earlier nights", mostOfEarlier, ampHours(q))
		}
		return 0, ""
	}
	f := mostFactor(s.v.id.chemistry, s.c.most/c*secondsPerHour)
	if own, usual := s.ownNeed(f*c, func(e *Earlier) float64 { return e.ChargeIn }); own > f*c {
		return own, fmt.Sprintf("%.3g times the usual %.3g Ah of its earlier nights", own/usual, ampHours(usual))
	}
	return f * c, fmt.Sprintf("%.3g times the rated %.4g Ah", f, ampHours(c))
}

// ownNeed is what a battery may take by its own earlier nights, and what it took on the usual
// one, C; both 0 with too few. Its label explains so much.
func (s *sight) ownNeed(label float64, of func(*Earlier) float64) (need, usual float64) {
	if len(s.o.Earlier) < ownNights || s.v.id.chemistry.Nickel() {
		return 0, 0
	}
	took := make([]float64, len(s.o.Earlier))
	for k := range s.o.Earlier {
		took[k] = of(&s.o.Earlier[k])
	}
	slices.Sort(took)
	usual = took[(len(took)-1)/2]
	return min(ownMore*usual, ownBeyond*label), usual
}

// mostFactor is the multiple of capacity for a chemistry and a rate, 1/h.
func mostFactor(c Chemistry, rate float64) float64 {
	switch {
	case c == LeadFlooded:
		return mostVented
	case c.Lead():
		return mostVRLA
	case c.Lithium():
		return mostLithium
	case c.Nickel() && rate >= nickelQuick:
		return mostNickel
	case c.Nickel():
		return mostNickelSlow
	}
	return mostUnknown
}

// untilFinish is what went in until the charge was complete, or until now, C. A nickel pack
// whose charger misses the peak is charged on after it, with all the current there was.
func (s *sight) untilFinish() float64 {
	finish := s.v.finish
	if !Known(finish) {
		return s.went()
	}
	tr := &s.c.trace
	if s.c.peak.found {
		finish = max(finish, tr.bins[tr.fullUntil(s.end, s.c.most)-1].t1)
	}
	return tr.sumAt(finish).in - s.c.begin.sum.in
}

// noProgress reports whether a warning of another kind already says that the
// charge gets nowhere: one is enough.
func (s *sight) noProgress(codes ...string) bool {
	for _, code := range codes {
		if s.still(code) {
			return true
		}
	}
	return false
}

// warned is how many of some warnings there have been, whether they hold or not.
func (s *sight) warned(codes ...string) (count int) {
	for _, code := range codes {
		if Known(s.c.findings.first(code)) {
			count++
		}
	}
	return count
}
