package analyze

import (
	"iter"
	"math"
)

// wayBefore is the charge to go until the limit by earlier nights, C: what was still to go
// then where the voltage stood as it stands now, at about the same current. It needs no
// table of rest voltages and no capacity. Every place on those ways counts, by how near its
// voltage is, so that a plateau makes it unsure by itself.
func (s *sight) wayBefore() (togo guess, ok bool) {
	now := s.c.trace.ending(0, s.end, 8, 60)
	sum, mean, square := 0.0, 0.0, 0.0
	for k := range s.o.Earlier {
		e := &s.o.Earlier[k]
		other := math.Abs(now.i/e.SetAmps - 1)
		if len(e.Path) != pathParts || other > wayCurrent || s.went() < wayLeast*e.ConstantIn {
			continue
		}
		slack, nickel := s.waySlack(other), s.v.id.chemistry.Nickel()
		var tonight wayShape
		if nickel {
			tonight = s.wayTonight(wayLeast * e.ConstantIn)
		}
		for left, volts := range e.way() {
			z := (now.v - volts) / slack
			w := math.Exp(-z * z / 2)
			if nickel {
				w = tonight.fits(e, left)
			}
			beyond := wayBeyond * max(left-e.ConstantIn, 0)
			sum, mean, square = sum+w, mean+w*left, square+w*(left*left+beyond*beyond)
		}
	}
	if sum < wayMatches {
		return guess{}, false
	}
	mean /= sum
	u := math.Sqrt(max(square/sum-mean*mean, 0))
	return guess{mean - s.since(&now), math.Hypot(u, waySpread*max(mean, s.went()))}, true
}

const (
	wayCurrent = 0.2  // as a share: at another current the voltage is another
	wayLeast   = 0.05 // of what went in then: before, the voltage has not come to its way
	wayMatches = 0.05 // of one place of the same voltage; there is none where it is another by 2.5 slacks
	wayBeyond  = 0.5  // of what is to go beyond what went in then
	waySpread  = 0.02 // of the larger of what went in and what is to go
)

// waySlack is how far a voltage may lie from where it lay on another night, as full, V: by
// temperature, by how long it had rested, and by a current that was another by such a share.
// Chosen on made-up nights; common practice has no figure.
func (s *sight) waySlack(other float64) float64 {
	cell := 0.008
	switch c := s.v.id.chemistry; {
	case c.Lead():
		cell = 0.012
	case c == LiFePO4:
		cell = 0.003 // or its plateau, which climbs by some 0.1 V, would tell nothing
	}
	const over = 0.1 // V a cell that a charging voltage is over the one at rest, about
	cells := float64(max(s.c.bounds.of.cells, 1))
	return math.Hypot(cells*(cell+over*other), s.volts.noise()/2+s.volts.step()/2)
}

// way goes through an earlier night up to its limit: what was still to go, C, and the voltage,
// V. It begins as far before its first current as it was long, where a night comes from that
// is emptier than that one was.
func (e *Earlier) way() iter.Seq2[float64, float64] {
	return func(yield func(left, volts float64) bool) {
		const step = 0.25 // of a part
		for x := -float64(pathParts); x < pathParts-1; x += step {
			left := e.ConstantIn * (1 - (x+0.5)/pathParts)
			if !yield(left, e.voltsAt(x)) {
				return
			}
		}
	}
}

// voltsAt is the voltage so many parts after the middle of the first one, V. The first ones
// are those of a current that has just begun: they, and what was before, are taken to lie on
// the straight line of what came next.
func (e *Earlier) voltsAt(x float64) float64 {
	const settled, straight = 2, 8
	if x < settled {
		slope := (e.Path[settled+straight] - e.Path[settled]) / straight
		return e.Path[settled] + (x-settled)*slope
	}
	k := int(x)
	return e.Path[k] + (x-float64(k))*(e.Path[k+1]-e.Path[k])
}
