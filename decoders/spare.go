package decoders

import (
	"fmt"
	"math"
	"slices"
)

// What is left when time, voltage and current are known: a counter of charge
// is known by counting, and then also proves the units; a temperature by its
// name, or by wandering slowly where temperatures are.

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
	if t.cols[g.amps].said.unit == nil && u.amps.name != t.fieldOf(Amps).Form {
		t.fieldOf(Amps).Form = u.amps.name
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
func (t *table) units(c *column, tm *timing, g guess, ratio float64) *trio {
	var best *trio
	least := math.Inf(-1)
	chosenTime, chosenAmps := unitNamed([]byte(tm.fields[0].Form), Time), t.fieldOf(Amps).unit
	times, amperes, charges := unitsOf(Time)[:6], unitsOf(Amps)[:2], unitsOf(Counter) // nobody counts in others without saying so
	switch {
	case chosenTime == nil:
		times = times[:1]
	case !tm.free:
		times = []*unit{chosenTime}
	}
	if t.cols[g.amps].said.unit != nil {
		amperes = []*unit{chosenAmps}
	}
	if u := c.said.unit; u != nil {
		charges = []*unit{u}
	}
	for _, time := range times {
		for _, amps := range amperes {
			for _, charge := range charges {
				want := amps.si(1) / charge.si(1)
				if tm.free {
					want *= time.si(1) / chosenTime.si(1)
				}
				if math.Abs(ratio/want-1) > 0.04 {
					continue
				}
				hours := charge.name == "Ah" || charge.name == "mAh"
				if !hours && amps != chosenAmps {
					continue // both would be odd: a counter of Wh at 3.6 V goes as one of As does of a current in mA
				}
				s := -math.Abs(math.Log10(want)) * 0.01
				if amps == chosenAmps {
					s++
				}
				if tm.free {
					s += beatScore(t.cols[tm.cols[0]], time, t.shortest(g))
				}
				if hours {
					s++
				}
				if s > least {
					best, least = &trio{time, amps, charge}, s
				}
			}
		}
	}
	return best
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

func (t *table) fieldOf(q Quantity) *Field {
	for i := range t.layout.Fields {
		if t.layout.Fields[i].Quantity == q {
			return &t.layout.Fields[i]
		}
	}
	return nil
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

// temperature finds the battery's temperature.
func (t *table) temperature(f *Fitted, taken []int, g guess) {
	best, score, power := -1, 0.0, -1
	if g.volts >= 0 && g.amps >= 0 {
		power = t.product(g.volts, g.amps)
	}
	for i, c := range t.cols {
		if i == g.volts || i == g.amps || i == power || slices.Contains(taken, i) || c.what != isNumber || t.strays(c) || c.said.of == Celsius && c.said.other {
			continue
		}
		s := nameScore(c, Celsius)
		if c.said.of == none && !c.said.index && !c.said.other && g.volts >= 0 && g.amps >= 0 && t.wanders(c, g) {
			s = 1
		}
		if s > score {
			best, score = i, s
		}
	}
	if best < 0 {
		return
	}
	u, why := unitOf(t.cols[best], Celsius, 0)
	if t.cols[best].said.unit == nil {
		if u = t.cols[best].degrees(); u == "" {
			f.Evidence = append(f.Evidence, fmt.Sprintf("%s is left out: nothing tells in what unit values near %.4g are a temperature", t.label(best), t.cols[best].median))
			return
		}
	}
	if score == 1 {
		why = fmt.Sprintf("it wanders between %.4g and %.4g and does not answer the current", t.cols[best].low, t.cols[best].high)
	}
	t.addField(f, best, Field{Quantity: Celsius, Form: u}, why)
}

// degrees is the unit of a temperature that states none, "" where that is open: no battery
// is as hot as boiling water, so that a larger number counts parts of a degree, or kelvins.
func (c *column) degrees() string {
	const boiling, cold, warm = 100, 250, 345 // kelvins, the latter two: -23 and 72 degrees Celsius
	m := c.median
	switch {
	case m <= boiling:
		return "C"
	case !c.whole && m > cold && m < warm:
		return "K"
	case !c.whole:
		return ""
	}
	part := math.Ceil(math.Log10(m / boiling)) // 1: tenths
	if kelvin := m / math.Pow(10, part-1); part > 3 || kelvin > cold && kelvin < warm {
		return ""
	}
	return []string{"dC", "cC", "mC"}[int(part)-1]
}

// strays tells a column that hardly any row has: its name may be another one, damaged.
func (t *table) strays(c *column) bool { return t.rows >= 2*rarely && c.n <= max(2, t.rows/300) }

// wanders tells a temperature without a name. It is strict: a false one would
// raise alarms.
func (t *table) wanders(c *column, g guess) bool {
	if c.minimum < -25 || c.maximum > 60 || c.maximum < 5 || c.spread() > 30 || c.spread() < 0.3 || c.step > 0.3 || c.rising > 0.9 || c.n < 20 {
		return false
	}
	volts, amps := t.cols[g.volts].x, t.cols[g.amps].x
	for _, of := range []func(row int) float64{
		func(row int) float64 { return volts[row] },
		func(row int) float64 { return volts[row] * amps[row] },
	} {
		if _, _, twice := proportional(c.x, of); twice {
			return false // the voltage of something else, or the power
		}
	}
	const few, apart = 3, 2 // values; degrees: a temperature passes through what lies between, a state or a power leaps
	if c.levels < few || c.spread() > apart*float64(c.levels) {
		return false
	}
	if c.climbs() || c.falling == 0 && c.first == c.minimum && c.first <= c.quantum {
		return false // it counts
	}
	return !flowed(c, volts, amps) && relate(c, t.cols[g.amps]).leap < 6
}
