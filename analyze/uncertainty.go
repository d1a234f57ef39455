package analyze

import "math"

// budget is where the uncertainty of a charge comes from, C, one standard
// uncertainty each.
type budget struct {
	gain     float64 // the meter's error in proportion to the reading
	zero     float64 // the meter's error that does not depend on it
	sampling float64 // noise, steps that fell between two rows, and the skew of two meters
}

// chargeBudget follows JCGM 100. A stated accuracy is a rectangular bound, so
// its standard uncertainty is the bound over the root of three (4.3.7). One
// meter's gain and zero are the same error in every sample: they add up linearly
// over time (5.2, correlation +1) and do not average out, which is why hours of
// float are ruled by the zero. A meter that shows more than that after the charge, without
// current, is off by as much, or a small load hangs on the battery: nobody can tell, so it
// bounds the zero. Noise and the unknown moments of steps are new in
// each interval and add in squares (5.1.2). What the trapezoid itself misses of
// a curve, h^2/12 of the slope's change, is far below all of these for a night's
// rows and left out.
func chargeBudget(t totals, a Accuracy, digit, shown float64) budget {
	return budget{
		gain:     a.Fraction * t.in / math.Sqrt(3),
		zero:     max(a.Digits*digit+a.Absolute, math.Abs(shown)) * t.onTime / math.Sqrt(3),
		sampling: math.Sqrt(max(t.variance, 0)),
	}
}

// expanded is the uncertainty at k = 2, about 95 %.
func (b budget) expanded() float64 {
	return 2 * math.Sqrt(b.gain*b.gain+b.zero*b.zero+b.sampling*b.sampling)
}

// rectangular is the expanded uncertainty (k = 2) of something known only to lie
// between two bounds.
func rectangular(low, high float64) float64 { return 2 * (high - low) / 2 / math.Sqrt(3) }
