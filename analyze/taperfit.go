package analyze

import "math"

// The taper's shape, fitted. For a rate that goes with the power q of the current,
//
//	phi(s) = (1 - exp(-q s)) / q, with s = ln(I / I0),
//
// falls along a straight line, -k t: so for each q there is one line through the
// logarithms of the current, and q is as likely as it makes them lie on it, and as it
// is usual. What is near the present counts most, since no taper has quite this shape
// from beginning to end.

const (
	fitBlocks = 24
	fitPowers = 9
	fitReach  = 1.6   // e-folds back
	fitFades  = 0.6   // e-folds over which what lies back loses its weight
	fitFloor  = 0.010 // of the current: what no model explains
	fitLeast  = 0.10  // e-folds that must have been seen
)

// point is the current of a stretch, i, at a time, t; its logarithm is known within u.
type point struct{ t, i, u float64 }

// bentPoint is one for trying many powers, as the line through all of them: it carries what does not depend
// on the power, and what turns exp(-q s) for one power into that of the next.
type bentPoint struct {
	t, s  float64 // s is the logarithm of the current
	faded float64 // u with what no model explains, the larger the longer ago
	bend  float64 // exp(-q s) for the power under trial
	turn  float64
}

// points are the currents of stretches of equal length, back from now to the
// beginning of the taper or where the current was some e-folds higher, each the charge
// of its stretch over the time that current flowed.
func (s *sight) points(amps float64, list []point) []point {
	tr := &s.c.trace
	from, beyond := s.constantAt, amps*math.Exp(fitReach)
	for lo, hi := from, s.end-1; lo < hi; {
		k := (lo + hi) / 2
		if tr.blockOf(max(k-2, s.constantAt), min(k+3, s.end)).i > beyond {
			lo = k + 1
		} else {
			hi = k
		}
		from = lo
	}
	t0 := tr.bins[from].t0
	step := (s.now - t0) / fitBlocks
	last := from
	for n := 1; n <= fitBlocks; n++ {
		k := tr.index(t0 + float64(n)*step)
		if n == fitBlocks {
			k = s.end
		}
		a, b := &tr.bins[last], &tr.bins[k]
		in, onTime := b.at.in-a.at.in, b.at.onTime-a.at.onTime
		if k <= last || onTime <= 0 || in <= 0 {
			continue
		}
		i := in / onTime
		u := math.Sqrt(squared(s.amps.noise())/tr.rows(last, k)+squared(s.amps.step()/4)) / i
		list = append(list, point{t: (a.t0 + b.t0) / 2, i: i, u: u})
		last = k
	}
	return list
}

// tapers is how long it will take until the current has fallen so far, for each of
// several powers, put into room. It reports whether the taper itself was seen to tell.
func (p *prospect) tapers(before guess, room mixture) (m mixture, seen bool) {
	amps, points := p.taper.amps, p.taper.points[:p.taper.seen]
	folds := math.Log(amps / p.taper.to)
	usual := usualPower(p.chemistry)
	begun := math.Log(p.taper.set / amps) // e-folds since it began
	const widest = 2.0                    // standard deviations
	const apart = 2 * widest / (fitPowers - 1)
	m = room[:0]
	surest := fitLeft
	if p.chemistry.Lead() {
		surest = fitLeftLead
	}
	var list [fitBlocks]bentPoint
	bent := list[:len(points)]
	for k := range points {
		bent[k] = points[k].straighten(amps, usual.x-widest*usual.u, apart*usual.u)
	}
	seen = len(bent) > 4 && bent[0].s-bent[len(bent)-1].s > fitLeast
	for n := range fitPowers {
		z := float64(n)*apart - widest
		q := usual.x + z*usual.u
		rate := guess{before.x - q*begun, before.u}
		likeness, now := -z*z/2, 0.0
		if seen {
			l := fitLine(bent, q, p.now)
			for k := range bent {
				bent[k].bend *= bent[k].turn
			}
			likeness -= l.misfit
			now = l.now
			if l.slope > 0 {
				rate = rate.and(guess{math.Log(l.slope), l.u / l.slope})
			}
		}
		t, folds := taper{math.Exp(rate.x), q}, folds+now
		left := t.time(folds)
		m = append(m, supposed{
			likeness: likeness, power: q,
			of:     guess{left, left * math.Hypot(math.Hypot(rate.u, fitStrays*folds), surest)},
			charge: t.charge(folds, amps*math.Exp(now)),
			last:   1 / t.rateAfter(folds),
		})
	}
	if p.chemistry.Lead() {
		m = dragging(m, folds)
	}
	m.weigh()
	return m, seen
}

// dragging adds to each supposition that below some current a lead-acid taper falls no
// faster than in hours, whatever it did before: what limits it there is the acid that
// has to spread, and gassing. The open logs of a 17 Ah battery take 2 to 3 hours for
// each of the last e-folds; two of four models have such a bend, often a sharp one, and
// nothing tells of it before it has come.
func dragging(m mixture, folds float64) mixture {
	for k := range len(m) {
		x := m[k]
		slow := min(folds, dragFrom)
		share := dragShare * slow / dragFrom
		if more := slow * (dragSeconds - x.last); more > 0 {
			m[k].likeness += math.Log(1 - share)
			x.likeness += math.Log(share)
			x.of = guess{x.of.x + more/2, math.Hypot(x.of.u, more/2)}
			x.last = dragSeconds
			m = append(m, x)
		}
	}
	return m
}

const (
	dragFrom    = 0.7 // e-folds above the end
	dragShare   = 0.45
	dragSeconds = 2.5 * 3600 // for each e-fold
)

// fitStrays is how far a rate strays from its law for each e-fold ahead. Three models
// of batteries with other equations put it between 0.1 and 0.4; the rows of the taper
// so far cannot tell.
//
// However little is left of it, no forecast is surer than a share of that: of two open logs of
// lead-acid, with a tenth of the charge to go, half of what was left was not foreseen.
const (
	fitStrays   = 0.22
	fitLeft     = 0.12
	fitLeftLead = 0.2
)

// straightened is a line through straightened currents.
type straightened struct {
	slope, u float64 // 1/s
	now      float64 // what the line says for now, e-folds above the current taken for now's
	misfit   float64
}

// straighten readies a point, where so many amperes flow now, for trying a power, and others that lie so far apart.
func (p *point) straighten(now, q, apart float64) bentPoint {
	s := math.Log(p.i / now)
	faded := math.Sqrt(p.u*p.u+fitFloor*fitFloor) * math.Exp(s/fitFades/2)
	return bentPoint{p.t, s, faded, math.Exp(-q * s), math.Exp(-apart * s)}
}

func fitLine(points []bentPoint, q, now float64) straightened {
	var w, wt, wy, wtt, wty, wyy float64
	for k := range points {
		p := &points[k]
		y := p.s
		if math.Abs(q) > 1e-3 {
			y = (1 - p.bend) / q
		}
		u := p.faded * p.bend
		t := p.t - now
		g := 1 / (u * u)
		w, wt, wy = w+g, wt+g*t, wy+g*y
		wtt, wty, wyy = wtt+g*t*t, wty+g*t*y, wyy+g*y*y
	}
	det := w*wtt - wt*wt
	a, b := (wtt*wy-wt*wty)/det, (w*wty-wt*wy)/det
	chi := wyy - a*wy - b*wty
	return straightened{slope: -b, u: math.Sqrt(w / det), now: a, misfit: chi / 2}
}
