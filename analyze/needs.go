package analyze

import "fmt"

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
	return f * c, fmt.Sprintf("%.3g times the rated %.4g Ah", f, ampHours(c))
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
