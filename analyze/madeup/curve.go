package madeup

// knot is one point of a curve.
type knot struct{ x, y float64 }

// curve is a smooth, monotone curve through knots with rising x: cubic pieces
// whose slopes never overshoot (Fritsch and Carlson's condition with harmonic
// means), so that the slope of a made-up voltage has no corners for an
// analysis to trip over.
type curve struct {
	knots  []knot
	slopes []float64
}

func newCurve(knots ...knot) curve {
	n := len(knots)
	chord := make([]float64, n-1)
	for i := range chord {
		chord[i] = (knots[i+1].y - knots[i].y) / (knots[i+1].x - knots[i].x)
	}
	slopes := make([]float64, n)
	slopes[0], slopes[n-1] = chord[0], chord[n-2]
	for i := 1; i < n-1; i++ {
		if a, b := chord[i-1], chord[i]; a*b > 0 {
			slopes[i] = 2 * a * b / (a + b)
		}
	}
	return curve{knots, slopes}
}

// evenly is a curve through values that are evenly spaced from 0 to 1, each
// times scale.
func evenly(scale float64, values ...float64) curve {
	knots := make([]knot, len(values))
	for i, v := range values {
		knots[i] = knot{float64(i) / float64(len(values)-1), v * scale}
	}
	return newCurve(knots...)
}

// at is the curve's height at x, along the end slopes beyond its ends.
func (c curve) at(x float64) float64 {
	last := len(c.knots) - 1
	if x <= c.knots[0].x {
		return c.knots[0].y + c.slopes[0]*(x-c.knots[0].x)
	}
	if x >= c.knots[last].x {
		return c.knots[last].y + c.slopes[last]*(x-c.knots[last].x)
	}
	i := last - 1
	for c.knots[i].x > x {
		i--
	}
	a, b := c.knots[i], c.knots[i+1]
	h := b.x - a.x
	t := (x - a.x) / h
	u := 1 - t
	return u*u*(1+2*t)*a.y + t*t*(1+2*u)*b.y + t*u*h*(u*c.slopes[i]-t*c.slopes[i+1])
}
