package analyze

import "math"

// column is a shape with its time constant, as seen at the points of a
// relaxation: 1 at its origin, so that its amplitude is what was left to settle
// then. The weighted mean is taken off, which solves for the settled
// voltage without another unknown.
type column struct {
	all      []float64 // at each of the relaxation's moments, of which the first and the last are as they are
	at       []float64 // the rest of them
	weighted []float64 // the same times the points' weights
	end      float64   // at the horizon
	self     float64   // weighted product with itself
	y        float64   // and with the voltages
}

// column fills in c.
func (r *relaxation) column(c *column, s *shape, tau float64) {
	n := len(r.t)
	if cap(c.all) < n+2 {
		both := make([]float64, 2*n+2)
		c.all, c.weighted = both[:n+2:n+2], both[n+2:]
	}
	c.all, c.weighted = c.all[:n+2], c.weighted[:n]
	s.fill(c.all, r.moments, tau)
	c.at = c.all[1 : n+1]
	at, w, y, weighted := c.at, r.w[:n], r.y[:n], c.weighted
	first, mean := 1/c.all[0], 0.0
	for k, x := range at {
		x *= first
		at[k] = x
		mean += w[k] * x
	}
	mean /= r.sum
	var self, withY float64
	for k, x := range at {
		x -= mean
		wx := w[k] * x
		at[k], weighted[k] = x, wx
		self += wx * x
		withY += wx * y[k]
	}
	c.self, c.y, c.end = self, withY, c.all[n+1]*first-mean
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

// crosses are those of four columns with another. A sum waits for each of its terms, but not for another
// sum, so that four in one go take the time of one.
func crosses(c *[4]column, slow *column) (sums [4]float64) {
	at := slow.at
	wa, wb, wc, wd := c[0].weighted[:len(at)], c[1].weighted[:len(at)], c[2].weighted[:len(at)], c[3].weighted[:len(at)]
	var sa, sb, sc, sd float64
	for k, x := range at {
		sa += wa[k] * x
		sb += wb[k] * x
		sc += wc[k] * x
		sd += wd[k] * x
	}
	return [4]float64{sa, sb, sc, sd}
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
