package analyze

import "math"

// column is a shape with its time constant, as seen at the points of a
// relaxation: 1 at its origin, so that its amplitude is what was left to settle
// then. The weighted mean is taken off, which solves for the settled
// voltage without another unknown.
type column struct {
	at       []float64
	weighted []float64 // the same times the points' weights
	end      float64   // at the horizon
	self     float64   // weighted product with itself
	y        float64   // and with the voltages
}

// column fills in c.
func (r *relaxation) column(c *column, s *shape, tau float64) {
	if n := len(r.t); cap(c.at) < n {
		both := make([]float64, 2*n)
		c.at, c.weighted = both[:n:n], both[n:]
	}
	c.at, c.weighted = c.at[:len(r.t)], c.weighted[:len(r.t)]
	first, mean := 1/s.at(r.origin, tau), 0.0
	for k, t := range r.t {
		c.at[k] = s.at(t, tau) * first
		mean += r.w[k] * c.at[k]
	}
	mean /= r.sum
	c.self, c.y = 0, 0
	for k := range c.at {
		c.at[k] -= mean
		wx := r.w[k] * c.at[k]
		c.weighted[k] = wx
		c.self += wx * c.at[k]
		c.y += wx * r.y[k]
	}
	c.end = s.at(r.horizon, tau)*first - mean
}

// times is the column of an exponential that is so much larger at every point, counted
// from where it is 1. The points themselves are left out.
func (c *column) times(f float64) *column {
	return &column{self: c.self * f * f, y: c.y * f, end: 1 - (1-c.end)*f}
}

// belief is what one choice of shapes and time constants says.
type belief struct {
	log      float64 // of its evidence, but for a constant
	mean     float64 // V, settled, from the points' mean
	variance float64
	misfit   float64 // chi squared
}

// cross is the weighted product of two columns.
func (c *column) cross(slow *column) (sum float64) {
	at := slow.at[:len(c.weighted)]
	for k, wx := range c.weighted {
		sum += wx * at[k]
	}
	return sum
}

// pair solves for the amplitudes of a quick and a slow column, whose product is
// given: least squares, with amplitudes of either expected about as large as what
// was seen to settle.
func (r *relaxation) pair(quick, slow *column, cross float64) belief {
	prior := r.prior()
	a, b := quick.self+prior, slow.self+prior
	det := a*b - cross*cross
	va, vb, vab := b/det, a/det, -cross/det
	xa, xb := va*quick.y+vab*slow.y, vab*quick.y+vb*slow.y
	fitted := xa*quick.y + xb*slow.y
	ca, cb := quick.end*va+slow.end*vab, quick.end*vab+slow.end*vb
	q := belief{
		log:      math.Log(prior) + 0.5*(fitted-r.yy-math.Log(det)),
		mean:     xa*quick.end + xb*slow.end,
		variance: 1/r.sum + quick.end*ca + slow.end*cb,
		misfit:   r.yy - 2*fitted + xa*xa*quick.self + 2*xa*xb*cross + xb*xb*slow.self,
	}
	q.positive(xb, vb, cb)
	q.log += math.Log(2 * max(normal(xa/math.Sqrt(va)), 1e-300))
	return q
}

// prior is what is expected of an amplitude before the rest is seen, 1/V squared.
func (r *relaxation) prior() float64 { return 1 / (r.scale * r.scale) }

// positive adds the knowledge that an amplitude x is not negative: a voltage
// that settles does not turn. covariance is that of x with the settled voltage.
// These are the moments of a normal distribution cut off at zero.
func (q *belief) positive(x, variance, covariance float64) {
	z := x / math.Sqrt(variance)
	p := normal(z)
	if p < 1e-12 {
		q.log = math.Inf(-1)
		return
	}
	m := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / p
	q.log += math.Log(2 * p)
	q.mean += covariance / math.Sqrt(variance) * m
	q.variance -= covariance * covariance / variance * m * (m + z)
}

// normal is the standard normal distribution's share below z.
func normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
