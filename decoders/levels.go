package decoders

import "math"

// Where a meter's noise is as large as what one step of the current moves the voltage by, the
// voltage's mean before and after it still tells the two apart.

const (
	levelRows  = 64 // on either side of a step, at most
	levelLeast = 8  // at least
	levelClear = 5  // standard deviations that the means must differ by, all steps together (our own figure)
)

// signOf tells whether the current counts out of the battery as positive, by what relate sees, unless
// where the voltage stands without current tells otherwise, else by the voltage's means beside the steps of the current, or by how it fades.
func signOf(v, i *column) (inverted bool, strength float64, why string) {
	v, i = onBattery(v, i)
	r, fades := relate(v, i), fadeOf(v, i)
	if sunk := r.follows*r.flowing < 0; sunk && fades.lost > 0 {
		r.follows = 0
	}
	inverted, strength, why = r.inverted()
	if way := liftedBy(v, i); way != 0 && (strength < 1 || inverted != (way < 0)) {
		return way < 0, 1, "voltage stands higher without current after " + signName(way) + " current than before"
	}
	if strength >= 1 {
		return inverted, strength, why
	}
	z := levelsAtSteps(v, i)
	switch {
	case math.Abs(z) >= levelClear && (strength == 0 || inverted == (z < 0)):
		side := "lower"
		if z > 0 {
			side = "higher"
		}
		return z < 0, 1, "voltage is " + side + " after the current went up than before, in the mean"
	case fades.lost > fadesFar:
		return fades.way < 0, 1, "it fades while the voltage is held"
	}
	return inverted, strength, why
}

// levelsAtSteps is by how many standard deviations the voltage's mean goes the way of the
// current at its large steps: by more than a digit, and by more than it goes anyway.
func levelsAtSteps(v, i *column) float64 {
	big := largeStep(i)
	var sum [2]float64 // of the steps to more current, and to less
	var steps [2]int
	last := math.NaN()
	for row, x := range i.x {
		if x != x {
			continue
		}
		if d := x - last; math.Abs(d) >= big {
			before, after := levelOf(v, i, row-1, -1, big), levelOf(v, i, row, 1, big)
			way := 0
			if math.Abs(x) < math.Abs(last) {
				way = 1
			}
			sum[way] += sign(d) * before.to(after, v.quantum)
			steps[way]++
		}
		last = x
	}
	if leadsOff(sum[0], steps[0], sum[1], steps[1]) {
		sum[1], steps[1] = 0, 0
	}
	return (sum[0] + sum[1]) / math.Sqrt(float64(max(steps[0]+steps[1], 1)))
}

// level is a mean of rows in which the current stays where it is.
type level struct{ n, mean, squares, nearer float64 }

// levelOf goes from a row on, ahead or back, to the next large step.
func levelOf(v, i *column, row, by int, big float64) (l level) {
	for at := row; at >= 0 && at < len(i.x) && l.n < levelRows && math.Abs(i.x[at]-i.x[row]) < big; at += by {
		if x := v.x[at]; x == x {
			l.n++
			d := x - l.mean
			l.mean += d / l.n
			l.squares += d * (x - l.mean)
			if l.n <= levelRows/2 {
				l.nearer = l.mean
			}
		}
	}
	return l
}

// to is how far another level is from this one, in standard deviations; 0 where the voltage may
// have come there without a step, or too few rows tell.
func (l level) to(other level, quantum float64) float64 {
	far := other.mean - l.mean
	drift := 2 * math.Max(math.Abs(l.mean-l.nearer), math.Abs(other.mean-other.nearer))
	if l.n < levelLeast || other.n < levelLeast || math.Abs(far) <= quantum || drift > math.Abs(far)/2 {
		return 0
	}
	spread := math.Max(l.squares/(l.n-1), other.squares/(other.n-1))
	return far / math.Sqrt(math.Max(spread, quantum*quantum/12)*(1/l.n+1/other.n))
}
