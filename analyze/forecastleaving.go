package analyze

import "math"

// LiFePO4 that leaves its plateau. What is left of its end is a per cent or two of the capacity,
// in which the voltage climbs ever faster: of some cells as an exponential of the charge, of
// others as if it were to meet a wall (see bending), and where both lead to is not far apart. It is judged
// over three stretches that follow each other, as short as the meter allows, since all of it is soon over. The
// shares are our own, no source.
const (
	leavingMost   = 0.04 // of capacity that a stretch is long, at the most,
	leavingLeast  = 0.005
	leavingGrowth = 1.5 // times that the last rise is of the one before, at the least
	leavingSpread = 0.5 // of what it says
)

// leaving is the charge to go until the limit, C, of LiFePO4 that has left its plateau.
func (s *sight) leaving() (togo guess, ok bool) {
	limit, slack := s.expectedLimit()
	q := s.o.Capacity
	if s.v.id.chemistry != LiFePO4 || limit == 0 || q <= 0 {
		return guess{}, false
	}
	for width := leavingLeast * q; width <= leavingMost*q; width *= 2 {
		if togo, ok = s.leavingBy(width, limit, slack); ok {
			return togo, true
		}
	}
	return guess{}, false
}

// leavingBy is that by stretches of so much charge, C.
func (s *sight) leavingBy(width, limit, slack float64) (togo guess, ok bool) {
	tr := &s.c.trace
	last := tr.bins[s.end].at.in
	var at [4]int
	for k := range at {
		at[k] = s.end
		if k < 3 {
			at[k] = tr.indexIn(last-float64(3-k)*width) + 1
		}
	}
	if tr.bins[at[0]].at.in-s.c.begin.sum.in < bendLeast*s.o.Capacity || at[1] <= at[0] || at[2] <= at[1] || at[3] <= at[2] {
		return guess{}, false
	}
	a, b, c := tr.blockOf(at[0], at[1]), tr.blockOf(at[1], at[2]), tr.blockOf(at[2], at[3])
	sure := 2*s.volts.noise()*math.Sqrt(2/min(a.rows, b.rows, c.rows)) + s.volts.step()/2
	first, second := b.v-a.v, c.v-b.v
	if first < sure || second < leavingGrowth*first+2*sure || second < s.plateauStep()/2 {
		return guess{}, false
	}
	mid := func(b *block) float64 { return (b.t0 + b.t1) / 2 }
	steps := (mid(&c) - mid(&a)) / 2 * c.i // C from middle to middle
	fold := steps / math.Log(second/first)
	slope := second / steps * math.Exp(steps/2/fold)
	gap := max(limit-c.v, 0)
	r := math.Sqrt(first / second)
	wall := steps*r/(1-r) - steps/2
	left := (fold*math.Log(1+gap/(slope*fold))+max(wall, 0))/2 - s.since(&c)
	return guess{left, math.Hypot(leavingSpread*left, math.Hypot(slack/(slope+gap/fold), steps/3))}, true
}
