package analyze

import "math"

// Nickel's rise rounds off before its peak: it climbs in the shape of an S, as the plates run out
// one after the other of what they have to charge. From where it is steepest its slope sinks, and
// at the peak nothing is left of it; so what it has lost of it since tells how far that is. (The
// shape is in makers' curves; the shares are our own, from five models of batteries.)
const (
	crestWindow = 0.02 // of capacity that a slope is taken over
	crestMost   = 24   // slopes looked back at
	crestPassed = 0.75 // of the steepest, by which the slope must have fallen
	crestSpread = 0.4  // of what it says: four of five models of batteries lie within half of it and twice
	crestLeast  = 0.25 // of what the rise has taken so far that are still to go at the least, before it rounds off
)

// crest is the charge to go until the peak, C, of nickel whose rise, since so much had gone in, has
// begun to round off.
func (s *sight) crest(since float64) (togo guess, ok bool) {
	tr := &s.c.trace
	last, step := tr.bins[s.end].at.in, crestWindow*s.o.Capacity
	sure := 2*s.volts.noise() + s.volts.step()/2
	var rises [crestMost]float64
	volts, n, steepest := tr.ending(0, s.end, 8, 60).v, 0, 0.0
	for in := last - step; n < crestMost && in >= since-step; in -= step { // back from now
		v := tr.ending(0, min(tr.indexIn(in)+1, s.end), 8, 60).v
		rises[n] = volts - v
		volts, steepest, n = v, max(steepest, rises[n]), n+1
	}
	if steepest < 2*sure || rises[0] > crestPassed*steepest-sure {
		return guess{}, false
	}
	sum, count := 0.0, 0.0
	for k, rise := range rises[:n] {
		if rise > crestPassed*steepest {
			sum, count = sum+float64(k)+0.5, count+1
		}
	}
	passed := sum / count * step // since the middle of the steepest
	share := max(rises[0]/steepest, 0)
	behind := max(passed-step/2, step) // the last slope's, that of its middle
	left := behind * share / (1 - share)
	u := math.Hypot(crestSpread*left, behind/squared(1-share)*sure/steepest)
	return guess{left - step/2, math.Hypot(u, step)}, true
}
