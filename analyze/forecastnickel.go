package analyze

// The end of a nickel charge. Its voltage climbs slowly and ever more slowly until the
// positive plates run out of what they have to charge; then it climbs at twice the
// slope and more, and peaks when the oxygen that is made instead has warmed the cells. (The
// steep rise before the peak is in every maker's curves.) How much goes in meanwhile differs:
// in four models of batteries 0.13, 0.16, 0.21 and 0.26 of the capacity from twice the slope
// in the median, a fifth has 0.28; and 0.07, 0.12, 0.15 and 0.19 from four times, which one of them
// never comes to.
const (
	riseWindow  = 0.04  // of capacity that a slope is taken over
	riseWindows = 60    // at the most, whatever was stated as capacity
	riseGrowth  = 2     // times the least slope so far
	riseLeft    = 0.21  // of capacity from there to the peak, with windows so wide
	riseSpread  = 0.05  // of capacity
	riseSoonest = 0.165 // of capacity, at the least, where it has not begun to rise
	steepGrowth = 4     // times the least slope, too,
	steepLeft   = 0.13  // of capacity before the peak
	steepSpread = 0.05  // of capacity
	riseSeen    = 4     // slopes that the meter could tell, and that
	riseDoubt   = 1.3   // times the least were not exceeded by
)

// nickelRise is the charge to go until the peak, by when the voltage began to climb
// faster than it had at its slowest; or, as long as it has not, what is still to go at
// the least.
func (s *sight) nickelRise() (togo guess, risen bool, least float64) {
	q := s.o.Capacity
	if q <= 0 || !s.v.id.chemistry.Nickel() {
		return guess{}, false, 0
	}
	tr := &s.c.trace
	last, begin := tr.bins[s.end].at.in, s.c.begin.sum.in
	step := max(riseWindow*q, (last-begin)/riseWindows)
	sure := 2*s.volts.noise() + s.volts.step()/2
	slowest, before, since, steep, seen := 0.0, 0.0, 0.0, 0.0, 0
	volts := Unknown()
	for in := begin + step; in < last; in += step {
		b := tr.ending(0, tr.indexIn(in)+1, 8, 60)
		rise := b.v - volts
		volts = b.v
		// Where between the two windows' middles it passed so many times the least.
		passed := func(times float64) float64 {
			return in - step/2 - step*(1-max((times*slowest-before)/(rise-before), 0))
		}
		switch {
		case since > 0 && steep == 0 && rise > steepGrowth*slowest:
			steep = max(passed(steepGrowth), since)
			continue
		case since > 0 && in-since < 2*riseLeft*q:
			before = rise
			continue // near the peak the slope falls again
		case !(rise > 0):
			continue
		case slowest == 0 || rise < slowest:
			slowest, since, steep = max(rise, sure/2), 0, 0
		case rise > max(riseGrowth*slowest, slowest+sure):
			since = passed(riseGrowth)
			if rise > steepGrowth*slowest {
				steep = passed(steepGrowth)
			}
		}
		if seen++; rise < sure || rise > riseDoubt*slowest {
			seen = 0
		}
		before = rise
	}
	if since > 0 {
		if togo, risen = s.crest(since); risen {
			return togo, true, 0
		}
	}
	switch {
	case steep > 0:
		return guess{steepLeft*q - (last - steep), steepSpread * q}, true, crestLeast * (last - since)
	case since > 0:
		return guess{riseLeft*q - (last - since), riseSpread * q}, true, crestLeast * (last - since)
	case seen >= riseSeen:
		return guess{}, false, riseSoonest * q
	}
	return guess{}, false, 0
}
