package analyze

import "math"

// A lead-acid battery whose charger has stepped down to a lower voltage takes little at first, and then more and more
// for half an hour: what the current before had built up at its plates and in its acid has to go first. So soon after
// a step down a current that climbs is no runaway by itself. The two look different: what relaxes climbs ever more
// slowly (it is a sum of decays), what heats itself ever faster (it feeds on what it takes); and what relaxes never
// comes to what flowed at the higher voltage. Afterwards the current falls from its crest, and what climbs from
// below that is judged as ever. Common practice, no source; the shape follows from the equations.
const (
	relaxedAfter = 3600 // s after the step
	relaxedCrest = 0.9  // of what flowed before the step: more is no relaxing
	gathersPace  = 1.5  // times its growth in its first half must be that in its second
)

// loweredAt is the bin from which on the voltage has been lower by what a float is than it was before, looking
// back from the end; 0 where it has not.
func (s *sight) loweredAt(volts float64) int {
	k := s.end
	for k > 0 && s.c.trace.bins[k-1].v()*(1-floatDrop) <= volts {
		k--
	}
	return k
}

// relaxed is the least current to go by where the voltage was lowered before the least of all, and the bin that ends it. It
// reports whether a climb from there counts.
func (s *sight) relaxed(now, low *block, at int, rows float64) (least block, end int, counts bool) {
	tr := &s.c.trace
	lowered := s.loweredAt(now.v)
	if lowered == 0 || at <= lowered || s.still(CodeThermalRunaway) {
		return *low, at, true
	}
	before := tr.ending(0, lowered, rows, runawayBlock)
	if now.i > relaxedCrest*before.i {
		return *low, at, true
	}
	until := tr.bins[lowered].t0 + relaxedAfter
	if now.t1 < until {
		return *low, at, s.gathersPace(at)
	}
	least, end = tr.lowest(tr.crest(lowered, tr.index(until)), s.end, rows, runawayBlock)
	return least, end, !math.IsInf(least.i, 1)
}

// gathersPace reports whether the current has grown the faster the longer it grew since a bin.
func (s *sight) gathersPace(from int) bool {
	if s.end-from < 4 {
		return false
	}
	q, _, fewest := quarters(&s.c.trace, from, s.end)
	return q[3]-q[2] > gathersPace*(q[1]-q[0])+4*s.amps.noise()/math.Sqrt(fewest)
}

// crest is the bin with the most current among bins [from, to].
func (tr *trace) crest(from, to int) int {
	most := from
	for k := from; k <= to; k++ {
		if tr.bins[k].i() > tr.bins[most].i() {
			most = k
		}
	}
	return most
}
