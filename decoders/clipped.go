package decoders

import "math"

// Leads that lie in the air show nothing, or a few millivolts. When the battery is clipped on, its
// voltage leaps up though no current flows: a leap that tells nothing of the current, which as yet is the
// zero that the meter is off by. When it is taken off it leaps down as it stood (physics; nothing to cite).

// clipLeast is the least share of a battery's voltage by which it leaps there.
const clipLeast = 0.25

// onBattery is a voltage and a current without the rows in which the leads lie in the air: those before and
// after a leap from less than half of the voltage, or to it, as far as the current makes no step.
func onBattery(v, i *column) (volts, amps *column) {
	off := inTheAir(v, i)
	if off == nil {
		return v, i
	}
	return v.without(off), i.without(off)
}

// inTheAir marks the rows in which the leads lie in the air; nil for none.
func inTheAir(v, i *column) (off []bool) {
	full := v.lasting()
	low := func(row int) bool { return math.Abs(v.x[row]) < stoodLeast*full }
	big, last := largeStep(i), -1
	for row := range v.x {
		if !known(v.x[row]) || !known(i.x[row]) {
			continue
		}
		was := last
		last = row
		if was < 0 || low(was) == low(row) || math.Abs(v.x[row]-v.x[was]) < clipLeast*full || math.Abs(i.x[row]-i.x[was]) >= big {
			continue
		}
		if off == nil {
			off = make([]bool, len(v.x))
		}
		at, by := was, -1
		if low(row) {
			at, by = row, 1
		}
		for k := at; k >= 0 && k < len(v.x) && !(math.Abs(i.x[k]-i.x[at]) >= big) && (v.x[k] != v.x[k] || low(k)); k += by {
			off[k] = true
		}
	}
	return off
}

// lasting is the size that a column has in three rows behind each other at the least: what has it in fewer may be bad,
// and a battery that was just clipped on has it in no more.
func (c *column) lasting() (most float64) {
	var last, before float64
	for _, x := range c.x {
		if known(x) {
			x = math.Abs(x)
			most = math.Max(most, min(x, last, before))
			last, before = x, last
		}
	}
	return most
}

// without is the column without some rows.
func (c *column) without(off []bool) *column {
	left := *c
	left.x = make([]float64, 0, len(c.x))
	for row, x := range c.x {
		if !off[row] {
			left.x = append(left.x, x)
		}
	}
	left.measure(left.x)
	return &left
}
