package decoders

import (
	"fmt"
	"math"
	"slices"
)

// What is left when time, voltage and current are known may be a temperature: by its name, or by
// wandering slowly where temperatures are.

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
