package decoders

import (
	"math"
	"slices"
)

// unanswered tells a current without a name that leaps up from nought, or down to it, while the voltage stays
// to two of its digits: it may be the voltage of a battery that is clipped on, beside what is no voltage.
func unanswered(v, i *column) bool {
	const few, digits = 0.1, 2 // of the current; of the voltage (our own figures)
	full := i.lasting()
	if i.said.of != none || v.levels <= 1 || full <= 2*flicker*i.quantum {
		return false
	}
	leapt, most := false, 0.0
	wasV, wasI := math.NaN(), math.NaN()
	for row, x := range i.x {
		y := v.x[row]
		if !known(x) || !known(y) {
			continue
		}
		if math.Min(math.Abs(x), math.Abs(wasI)) < few*full && math.Max(math.Abs(x), math.Abs(wasI)) > stoodLeast*full {
			leapt, most = true, math.Max(most, math.Abs(y-wasV))
		}
		wasV, wasI = y, x
	}
	return leapt && most < (digits+0.5)*v.nearest()
}

// nearest is by how much the two values differ that are nearest to each other. In rows that take turns no step is
// as small.
func (c *column) nearest() float64 {
	values := slices.DeleteFunc(slices.Clone(c.x), func(x float64) bool { return !known(x) })
	slices.Sort(values)
	least := math.Inf(1)
	for k := 1; k < len(values); k++ {
		if d := values[k] - values[k-1]; d > 1e-9*math.Abs(values[k]) {
			least = math.Min(least, d)
		}
	}
	return least
}
