package analyze

import "math"

// profiler follows the slow time constant from end to end, with the quick one
// at its best for each.
//
// Mostly one shape fits a rest, and the others leave many times as much. A shape that
// cannot come near the strongest belief, nor leave less than it, is not looked at more
// closely: it has no weight that shows.
type profiler struct {
	*relaxation
	strongest   belief   // so far
	leader      *profile // the shape that has it
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
	hopeless     = 60.0      // in ln: so much fainter has no weight in a float, and then some
	apart        = 0.5       // in ln: two time constants that are nearer are one
	slowestKnown = 8 * 3600. // s; up to 3.5 h was seen, for the first day (reference, section 9)
)

var plainExponential = shape{kind: exponential}

func newProfiler(r *relaxation) *profiler {
	p := &profiler{relaxation: r, strongest: belief{log: math.Inf(-1), misfit: math.Inf(1)}}
	span := r.span()
	for k := range p.quick {
		p.quickAt[k] = math.Log(span/120) + float64(k)*math.Log(120)/(quickSteps-1)
		r.column(&p.quick[k], &plainExponential, math.Exp(p.quickAt[k]))
	}
	return p
}

// beyond reports whether a belief with so much evidence and so little misfit at best
// is out of the question.
func (p *profiler) beyond(log, misfit float64) bool {
	return log < p.strongest.log-hopeless && misfit > p.strongest.misfit+1
}

// profile is the belief in a shape over its time constant, evenly in the
// logarithm between two ends, fine enough to show its peak where that matters.
type profile struct {
	shape     *shape
	low, high float64
	whole     float64  // of the logarithm that is thinkable
	list      []belief // empty where it is out of the question
	top       belief   // the strongest of them
	rise      float64  // how far the peak may lie above it
	least     float64  // misfit of any of them
	looks     int
	done      bool
}

// profiles are one a shape.
type profiles []profile

// profiles looks at all shapes, and more closely at those that count. The least misfit
// of all comes with them.
func (p *profiler) profiles() (all profiles, misfit float64) {
	all = make(profiles, len(slowShapes))
	for k := range all {
		all[k].begin(p.span(), &slowShapes[k])
		p.look(&all[k])
	}
	// The most promising first, since it tells what is out of the question.
	for f := all.promising(); f != nil; f = all.promising() {
		if f != p.leader && p.beyond(f.top.log+f.rise, f.least-2*f.rise) {
			f.done, f.list = true, nil
			continue
		}
		p.look(f)
	}
	misfit = math.Inf(1)
	for k := range all {
		for _, q := range all[k].list {
			misfit = min(misfit, q.misfit)
		}
	}
	return all, misfit
}

// promising is the shape with the strongest belief of those not yet seen well
// enough; nil if all are.
func (all profiles) promising() (best *profile) {
	for k := range all {
		if f := &all[k]; !f.done && (best == nil || f.top.log > best.top.log) {
			best = f
		}
	}
	return best
}

// strongest is the log of the strongest belief.
func (all profiles) strongest() float64 {
	best := math.Inf(-1)
	for k := range all {
		if all[k].list != nil {
			best = max(best, all[k].top.log)
		}
	}
	return best
}

// begin spans the time constants that are thinkable.
func (f *profile) begin(span float64, s *shape) {
	f.shape, f.low, f.high = s, math.Log(span/8), math.Log(max(slowestKnown, span))
	if s.kind == powerTail {
		f.low = math.Log(span / 60)
	}
	f.whole = f.high - f.low
}

// look tries time constants between the ends, and draws them together around the
// peak where it was too narrow to be seen.
func (p *profiler) look(f *profile) {
	step := (f.high - f.low) / slowSteps
	share := math.Log(f.shape.prior * step / f.whole)
	f.list = make([]belief, slowSteps)
	for k := range f.list {
		at := f.low + (float64(k)+0.5)*step
		p.column(&p.slow, f.shape, math.Exp(at))
		f.list[k] = p.besideQuick(at)
		f.list[k].log += share
	}
	f.survey()
	if f.top.log > p.strongest.log {
		p.strongest, p.leader = f.top, f
	}
	first, last := inside(f.list, f.top.log-faintest)
	if last-first+1 >= leastInside || f.looks == closerLooks {
		f.done = true
		return
	}
	f.looks++
	f.low, f.high = f.low+float64(first-1)*step, f.low+float64(last+2)*step
}

// survey finds the strongest belief, the least misfit, and how far the peak may lie
// above: four times as far as the strongest stands above the fainter of its
// neighbours, of which a parabola's peak has no more than an eighth. At an end the
// slope says less, and the third from there counts.
func (f *profile) survey() {
	top := 0
	f.least = math.Inf(1)
	for k := range f.list {
		f.least = min(f.least, f.list[k].misfit)
		if f.list[k].log > f.list[top].log {
			top = k
		}
	}
	f.top = f.list[top]
	before, after := max(top-1, 0), min(top+1, slowSteps-1)
	if top == before {
		after = 3
	} else if top == after {
		before = slowSteps - 4
	}
	f.rise = 4 * (f.top.log - min(f.list[before].log, f.list[after].log))
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
	var b brackets
	p.bracket(&b, n)
	// What cannot be the best need not be worked out: the bounds tell.
	top := b.highest(n)
	best := p.tried(&b, top)
	for k := b.highest(n); b.most[k] > best.log; k = b.highest(n) {
		if q := p.tried(&b, k); q.log > best.log {
			top, best = k, q
		}
	}
	if top > 0 && top < n-1 {
		below, above := p.tried(&b, top-1), p.tried(&b, top+1)
		best = p.climb([3]float64{p.quickAt[top-1], p.quickAt[top], p.quickAt[top+1]}, [3]belief{below, best, above})
	}
	return best
}

// brackets are the products of the slow column with each quick one, and what the
// evidence of each pair is at most.
type brackets struct {
	cross, most [quickSteps]float64
}

// highest is the pair with the highest bound of the first n.
func (b *brackets) highest(n int) int {
	best := 0
	for k, most := range b.most[:n] {
		if most > b.most[best] {
			best = k
		}
	}
	return best
}

// tried is the belief in a pair, which needs no more trying.
func (p *profiler) tried(b *brackets, k int) belief {
	b.most[k] = math.Inf(-1)
	return p.pair(&p.quick[k], &p.slow, b.cross[k])
}

// bracket fills in the first n, and up to three more. The determinant of a pair is at least what it would
// be if one column were the other's multiple, and each amplitude is positive for
// certain at most, which doubles its evidence.
func (p *profiler) bracket(b *brackets, n int) {
	const rounding = 1e-9
	prior := p.prior()
	self, y := p.slow.self+prior, p.slow.y
	most := math.Log(prior) - 0.5*(p.yy+math.Log(prior*self)) + 2*math.Ln2
	for k := 0; k < n; k += 4 { // of which there are a multiple of four
		four := (*[4]column)(p.quick[k:])
		for j, cross := range crosses(four, &p.slow) {
			quick := &four[j]
			a := quick.self + prior
			fitted := (self*quick.y*quick.y - 2*cross*quick.y*y + a*y*y) / (a*self - cross*cross)
			b.cross[k+j], b.most[k+j] = cross, most+0.5*fitted*(1+rounding)
		}
	}
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
		n := p.pair(&p.trial, &p.slow, p.trial.cross(&p.slow))
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
