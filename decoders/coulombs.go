package decoders

import (
	"fmt"
	"math"
)

// A counter of charge rises like a time, but by more where more current flows.
// Where a log has no time it tells the interval: its step by the current.

// pace is how a column's steps go with the current of their rows: the mean step by
// the mean current, and how much of the steps that leaves over, 0 to 1. Not ok where
// too little of both is there, or the current is the same all along.
func (t *table) pace(c *column, amps int) (slope, left float64, ok bool) {
	i := t.cols[amps]
	var si, ii, ss, s, n float64
	last := math.NaN()
	for row, x := range c.x {
		y := i.x[row]
		if d := x - last; d == d && y == y {
			si, ii, ss, s, n = si+d*y, ii+y*y, ss+d*d, s+d, n+1
		}
		if x == x {
			last = x
		}
	}
	if n < 20 {
		return 0, 0, false
	}
	even := s * s / n // of ss, what steps of one size would explain
	slope = si / ii
	return slope, 1 - si*si/ii/ss, si*si/ii > even*1.02
}

// charges tells that a column which rises like a time rather counts charge: the
// current explains its steps, and steps of one size do not.
func (t *table) charges(col int, g guess) bool {
	c := t.cols[col]
	if g.amps < 0 || c.said.of == Time {
		return false
	}
	_, left, ok := t.pace(c, g.amps)
	return ok && left < 0.2
}

// paced finds the interval between rows of a log without time, by a counter of
// charge: only one pair of units makes it a round number of seconds.
func (t *table) paced(g guess) (interval float64, why string) {
	if g.volts < 0 || g.amps < 0 {
		return 0, ""
	}
	amps := t.cols[g.amps]
	form, _ := unitOf(amps, Amps, amps.part(Amps, amps.size()))
	for k, c := range t.cols {
		if k == g.volts || k == g.amps || c.what != isNumber || c.said.of != none && c.said.of != Counter || c.rising < 0.3 {
			continue
		}
		slope, left, ok := t.pace(c, g.amps)
		if !ok || left > 0.2 {
			continue
		}
		for _, charge := range []string{"Ah", "mAh", "As"} {
			u := unitNamed([]byte(charge), Counter)
			if c.said.unit != nil && c.said.unit.name != charge {
				continue
			}
			s := math.Abs(slope) * u.si(1) / unitNamed([]byte(form), Amps).si(1)
			if round := beatNear(s); round > 0 {
				return round, fmt.Sprintf("rows are %.4g s apart: %s counts charge, in %s, and rises by as much as the current brings in that time", round, t.label(k), charge)
			}
		}
	}
	return 0, ""
}
