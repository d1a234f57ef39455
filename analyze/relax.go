package analyze

import "math"

// restPoint is the voltage at a moment of a rest.
type restPoint struct {
	t        float64 // s since the current stopped
	v        float64 // V
	variance float64 // V squared
}

// relaxation is a rest as the fits see it: what follows is turned to fall, and
// counted from its weighted mean.
type relaxation struct {
	t, y, w []float64 // s; V; 1/V squared
	moments []float64 // s: the origin, all t, and the horizon
	sum     float64   // of w
	yy      float64   // of w y y
	mean    float64   // V, what y counts from
	sign    float64
	drop    float64 // V that were seen to settle
	scale   float64 // V, how large an amplitude is expected to be
	horizon float64 // s, the time that is asked about
	origin  float64 // s, where an amplitude is counted from
}

// settled is what a relaxation will come to.
type settled struct {
	volts, u float64 // V, standard uncertainty
	shares   [len(slowShapes)]float64
}

const (
	// A day off charge and load is what a battery maker asks for before the
	// open-circuit voltage is read (reference, section 9). There is no end to
	// it: a month on, it is lower still.
	settledAfter = 24 * 3600 // s

	// The quickest parts, of which there are more than one, are left out.
	skipShare = 1. / 40 // of the rest

	// What was seen to settle, times this, is how much may be left: the prior of
	// the amplitudes. Without one, half an hour would say nothing at all.
	expectedShare = 0.37

	// No fit sees what is slower than itself. Its standard uncertainty is this
	// share of what was seen to settle: more before an hour and a half, less once
	// the rest lasts for hours. Our choice, held against made-up rests.
	unseenShare = 0.035
	unseenEarly = 90 * 60 // s
	unseenLate  = 12 * 3600

	leastPoints = 4
)

// newRelaxation takes the points of a rest, the voltage just before it, and the
// time that is asked about.
func newRelaxation(p []restPoint, under, horizon float64) *relaxation {
	n := len(p)
	head, tail := restMean(p[:max(n/10, 1)]), restMean(p[n-max(n/10, 1):])
	r := &relaxation{sign: 1, origin: p[0].t, horizon: horizon}
	if head < tail {
		r.sign = -1
	}
	r.drop = max(r.sign*(head-tail), r.sign*(under-tail))
	r.take(p)
	r.scale = expectedShare*r.drop + 2/math.Sqrt(r.sum)
	return r
}

// take fills in the points.
func (r *relaxation) take(p []restPoint) {
	n := len(p)
	room := make([]float64, 3*n+2)
	r.moments, r.y, r.w = room[:n+2:n+2], room[n+2:2*n+2:2*n+2], room[2*n+2:]
	r.moments[0], r.t, r.moments[n+1] = r.origin, r.moments[1:n+1], r.horizon
	for k, q := range p {
		r.t[k], r.y[k], r.w[k] = q.t, q.v*r.sign, 1/q.variance
		r.sum += 1 / q.variance
	}
	for k, y := range r.y {
		r.mean += r.w[k] / r.sum * y
	}
	for k := range r.y {
		r.y[k] -= r.mean
		r.yy += r.w[k] * r.y[k] * r.y[k]
	}
}

func restMean(p []restPoint) (v float64) {
	for _, q := range p {
		v += q.v / float64(len(p))
	}
	return v
}

func (r *relaxation) span() float64 { return r.t[len(r.t)-1] - r.t[0] }

// settle foretells the voltage that a rest will come to. All shapes and time
// constants have their say, each as far as the evidence goes: the uncertainty is
// that of the fits and the spread between them.
func settle(p []restPoint, under float64) settled {
	s, unseen := settleBy(p, under, max(settledAfter, p[len(p)-1].t))
	s.u = math.Hypot(s.u, unseen)
	return s
}

// settleBy foretells it for a time since the current stopped, s. What no fit sees,
// a standard uncertainty in V, comes apart.
func settleBy(p []restPoint, under, horizon float64) (s settled, unseen float64) {
	total := p[len(p)-1].t
	for len(p) > leastPoints && p[0].t < skipShare*total {
		p = p[1:]
	}
	r := newRelaxation(p, under, horizon)
	all, misfit := newProfiler(r).profiles()
	// What scatters more than it should makes all points less sure (Birge).
	if free := float64(len(p) - 4); free > 0 && misfit > free {
		wider := append([]restPoint(nil), p...)
		for k := range wider {
			wider[k].variance *= misfit / free
		}
		r = newRelaxation(wider, under, horizon)
		all, _ = newProfiler(r).profiles()
	}
	s = r.average(all)
	unseen = unseenShare * r.drop * max(unseenEarly/total, 1) * math.Sqrt(unseenLate/(unseenLate+total))
	return s, unseen
}

// average weighs all beliefs by their evidence.
func (r *relaxation) average(all profiles) (s settled) {
	best := all.strongest()
	var weight, mean, square float64
	for k := range all {
		for _, q := range all[k].list {
			w := math.Exp(q.log - best)
			weight += w
			mean += w * q.mean
			square += w * (q.mean*q.mean + q.variance)
			s.shares[k] += w
		}
	}
	for k := range s.shares {
		s.shares[k] /= weight
	}
	mean /= weight
	s.volts = r.sign * (r.mean + mean)
	s.u = math.Sqrt(max(square/weight-mean*mean, 0))
	return s
}
