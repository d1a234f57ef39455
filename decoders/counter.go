package decoders

import (
	"math"
	"slices"
)

// What is left when time, voltage and current are known may be a counter of charge: it is known by
// counting, and then also proves the units.

// counter finds the column that counts amperes times time. While the current is
// constant the numbers of the rows do so too: the count that keeps step best is it.
func (t *table) counter(f *Fitted, tm *timing, g guess) {
	if g.amps < 0 || tm.seconds == nil {
		return
	}
	flow := integral(tm.seconds, t.cols[g.amps].x)
	best, least := -1, math.Inf(1)
	var units *trio
	for k, c := range t.cols {
		if k == g.volts || k == g.amps || slices.Contains(tm.cols, k) || c.what != isNumber || c.said.of != none && c.said.of != Counter || t.numbersBeside(k) {
			continue
		}
		ratio, left, ok := proportional(c.since(), func(row int) float64 { return flow[row] })
		if !ok || left >= least {
			continue
		}
		if u := t.units(c, tm, g, math.Abs(ratio)); u != nil {
			best, least, units = k, left, u
		}
	}
	if best >= 0 {
		t.counts(f, tm, g, best, units)
	}
}

// counts adds the counter, and takes the units of time and current from it where
// nothing else tells them.
func (t *table) counts(f *Fitted, tm *timing, g guess, col int, u *trio) {
	fits := ""
	if tm.free && u.time.name != tm.fields[0].Form { // free: the count is the only time
		t.retime(tm, u.time)
		fits = "; so the time is in " + u.time.name
	}
	if t.cols[g.amps].said.unit == nil && u.amps.name != t.layout.Field(Amps).Form {
		t.layout.Field(Amps).Form = u.amps.name
		fits += "; so the current is in " + u.amps.name
	}
	if tm.free {
		tm.unsure = nil
	}
	tm.cols = append(tm.cols, col)
	t.addField(f, col, Field{Quantity: Counter, Form: u.charge.name}, "it counts current times time"+fits)
}

// trio is one choice of units for time, current and charge.
type trio struct{ time, amps, charge *unit }

// units finds the units that make a counter count what flowed. ratio is the
// counter's steps by those of current times time, in the units chosen so far.
func (t *table) units(c *column, tm *timing, g guess, ratio float64) (best *trio) {
	chosen := trio{time: unitNamed([]byte(tm.fields[0].Form), Time), amps: t.layout.Field(Amps).unit}
	times, amperes, charges := unitsOf(Time)[:6], unitsOf(Amps)[:2], unitsOf(Counter) // nobody counts in others without saying so
	switch {
	case chosen.time == nil:
		times = times[:1]
	case !tm.free:
		times = []*unit{chosen.time}
	}
	if t.cols[g.amps].said.unit != nil {
		amperes = []*unit{chosen.amps}
	}
	if u := c.said.unit; u != nil {
		charges = []*unit{u}
	}
	most := math.Inf(-1)
	for _, time := range times {
		for _, amps := range amperes {
			for _, charge := range charges {
				u := &trio{time, amps, charge}
				if s, ok := t.usual(u, &chosen, tm, g, ratio); ok && s > most {
					best, most = u, s
				}
			}
		}
	}
	return best
}

// usual is how likely somebody counts in such units, where others were chosen so far; false where these do not
// make the counter count what flowed.
func (t *table) usual(u, chosen *trio, tm *timing, g guess, ratio float64) (score float64, ok bool) {
	want := u.amps.si(1) / u.charge.si(1)
	if tm.free {
		want *= u.time.si(1) / chosen.time.si(1)
	}
	hours := u.charge.name == "Ah" || u.charge.name == "mAh"
	switch {
	case math.Abs(ratio/want-1) > 0.04:
		return 0, false
	case !hours && u.amps != chosen.amps:
		return 0, false // both would be odd: a counter of Wh at 3.6 V goes as one of As does of a current in mA
	}
	score = -math.Abs(math.Log10(want)) * 0.01
	if u.amps == chosen.amps {
		score++
	}
	if tm.free {
		score += beatScore(t.cols[tm.cols[0]], u.time, t.shortest(g))
	}
	if hours {
		score++
	}
	return score, true
}

// retime changes the unit of a time that was a guess.
func (t *table) retime(tm *timing, u *unit) {
	for i := range t.layout.Fields {
		if f := &t.layout.Fields[i]; f.Quantity == Time {
			f.Form, f.unit = u.name, u
		}
	}
	tm.fields[0].Form, tm.fields[0].unit = u.name, u
}

// integral sums a column over time, by the trapezoid.
func integral(seconds, x []float64) []float64 {
	out := make([]float64, len(x))
	sum, lastX, lastT := 0.0, math.NaN(), math.NaN()
	for row := range x {
		if x[row] == x[row] && seconds[row] == seconds[row] {
			if d := seconds[row] - lastT; d > 0 && lastX == lastX {
				sum += d * (x[row] + lastX) / 2
			}
			lastX, lastT = x[row], seconds[row]
		}
		out[row] = sum
	}
	return out
}

// since is a column's values counted from its first.
func (c *column) since() []float64 {
	out := make([]float64, len(c.x))
	for row, x := range c.x {
		out[row] = x - c.first
	}
	return out
}
