package analyze

import "math"

// profiler follows the slow time constant from end to end, with the quick one
// at its best for each.
type profiler struct {
	*relaxation
	quick       [quickSteps]column
	quickAt     [quickSteps]float64 // ln of the time constant
	slow, trial column
}

const (
	quickSteps   = 24
	slowSteps    = 16
	leastInside  = 5         // steps that must lie on the peak, or it is looked at more closely
	closerLooks  = 4         // each is five times finer or so; a coarse grid would be too sure of itself
	faintest     = 9.0       // in ln of the evidence: 4 standard deviations
	apart        = 0.5       // in ln: two time constants that are nearer are one
	slowestKnown = 8 * 3600. // s; up to 3.5 h was seen, for the first day (reference, section 9)
)

var plainExponential = shape{kind: exponential}

func newProfiler(r *relaxation) *profiler {
	p := &profiler{relaxation: r}
	span := r.span()
	for k := range p.quick {
		p.quickAt[k] = math.Log(span/120) + float64(k)*math.Log(120)/(quickSteps-1)
		r.column(&p.quick[k], &plainExponential, math.Exp(p.quickAt[k]))
	}
	return p
}

// profile is the belief in a shape over its time constant, evenly in the
// logarithm, fine enough to show its peak.
func (p *profiler) profile(s *shape) []belief {
	low, high := math.Log(p.span()/8), math.Log(max(slowestKnown, p.span()))
	if s.kind == powerTail {
		low = math.Log(p.span() / 60)
	}
	whole := high - low
	list := make([]belief, slowSteps)
	for look := 0; ; look++ {
		step, best := (high-low)/slowSteps, math.Inf(-1)
		for k := range list {
			at := low + (float64(k)+0.5)*step
			p.column(&p.slow, s, math.Exp(at))
			list[k] = p.besideQuick(at)
			list[k].log += math.Log(s.prior * step / whole)
			best = max(best, list[k].log)
		}
		first, last := inside(list, best-faintest)
		if last-first+1 >= leastInside || look == closerLooks {
			return list
		}
		low, high = low+float64(first-1)*step, low+float64(last+2)*step
	}
}

// inside is the first and last belief with at least so much evidence.
func inside(list []belief, least float64) (first, last int) {
	first = -1
	for k := range list {
		if list[k].log >= least {
			last = k
			if first < 0 {
				first = k
			}
		}
	}
	return max(first, 0), last
}

// besideQuick is the best belief in the slow column with any quick exponential
// beside it. at is the ln of the slow time constant.
func (p *profiler) besideQuick(at float64) belief {
	n := 1
	for n < quickSteps && p.quickAt[n] <= at-apart {
		n++
	}
	var all [quickSteps]belief
	top := 0
	for k := range n {
		all[k] = p.pair(&p.quick[k], &p.slow)
		if all[k].log > all[top].log {
			top = k
		}
	}
	if top == 0 || top == n-1 {
		return all[top]
	}
	return p.climb([3]float64{p.quickAt[top-1], p.quickAt[top], p.quickAt[top+1]}, [3]belief{all[top-1], all[top], all[top+1]})
}

// climb finds the top between two lower neighbours by parabolas.
func (p *profiler) climb(x [3]float64, q [3]belief) belief {
	const enough, tries = 0.02, 8
	for range tries {
		to, gain := vertex(x, [3]float64{q[0].log, q[1].log, q[2].log})
		if !(gain > enough) {
			break
		}
		p.column(&p.trial, &plainExponential, math.Exp(to))
		n := p.pair(&p.trial, &p.slow)
		switch higher := n.log > q[1].log; {
		case higher && to > x[1]:
			x[0], q[0], x[1], q[1] = x[1], q[1], to, n
		case higher:
			x[2], q[2], x[1], q[1] = x[1], q[1], to, n
		case to > x[1]:
			x[2], q[2] = to, n
		default:
			x[0], q[0] = to, n
		}
	}
	return q[1]
}

// vertex is the top of the parabola through three points, and how far it lies
// above the middle one.
func vertex(x, y [3]float64) (at, above float64) {
	left, right := (y[1]-y[0])/(x[1]-x[0]), (y[2]-y[1])/(x[2]-x[1])
	curve := (right - left) / (x[2] - x[0])
	if !(curve < 0) {
		return x[1], 0
	}
	slope := left + curve*(x[1]-x[0])
	d := -slope / (2 * curve)
	return x[1] + d, slope * d / 2
}
