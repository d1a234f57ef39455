package analyze

import (
	"fmt"
	"math"
)

// taper is the time in constant voltage and the charge that goes in meanwhile.
type taper struct {
	seconds, charge, spread float64
}

// Before a taper has been seen it is taken for an exponential with the usual time
// constant of its kind. Lead-acid: absorption takes two to four hours, in which
// the current falls to a fifth or a tenth (two open logs of a 17 Ah battery: 1.5
// and 2.4 h on average); some batteries are full when they come to their limit.
// Lithium-ion: 490 to 740 s from 0.3 and 1 of capacity per hour (open logs).
// LiFePO4 is full by then.
func usualConstant(c Chemistry) (seconds, spread float64) {
	switch {
	case c.Lead():
		return 1.4 * 3600, 0.45
	case c == LiIon:
		return 680, 0.35
	case c == LiFePO4:
		return 300, 0.5
	case c.Nickel():
		return 0, 0
	}
	return 3600, 0.7
}

// constant is the taper's time constant as its logarithm, of s. The way to the
// limit tells of it: at a held voltage V = E + I R, so dI/dt = -I (dV/dQ) / R, and
// the constant is the resistance over the slope of the voltage against charge. The
// nearer the limit, the more this counts.
func (s *sight) constant(slope float64) guess {
	usual, spread := usualConstant(s.v.id.chemistry)
	tau := guess{math.Log(usual), spread}
	if g, ok := tapers(s.o.Earlier, s.v.limit.at(s.went())); ok && usual > 0 {
		tau = g
	}
	limit, _ := s.expectedLimit()
	now := s.c.trace.ending(0, s.end, 8, 60)
	full := fullCellV(s.v.id.chemistry) * float64(s.c.bounds.of.cells)
	over := now.v - full
	if usual == 0 || full == 0 || slope <= 0 || over < 0.2*(limit-full) {
		return tau
	}
	gap := max(limit-now.v, 0) / (limit - full)
	return tau.and(guess{math.Log(over / now.i / slope), 0.35 + 1.5*gap})
}

// fullCellV is the rest voltage of a cell when it comes to its limit, V.
func fullCellV(c Chemistry) float64 {
	switch {
	case c.Lead():
		return 2.12
	case c == LiIon:
		return 4.08
	case c == LiFePO4:
		return 3.35
	}
	return 0
}

// taperFrom is the taper from one current to another.
func taperFrom(tau guess, from, to float64) taper {
	if from <= to || to <= 0 {
		return taper{spread: tau.u}
	}
	seconds := math.Exp(tau.x)
	return taper{seconds * math.Log(from/to), seconds * (from - to), tau.u}
}

// A taper is no single exponential: its rate, -d ln I/dt, changes as the current
// falls. Let the rate go with a power of the current, rate = k I^(p-1): p is 1 for
// an exponential, 2 for a hyperbola, below 1 for a fall that quickens. How fast
// the current falls is measured over its last stretch; p is measured from two
// stretches and weighed against what is usual, since it matters little when there
// is little left to fall.
const taperLeast = 0.10 // of the current that must have fallen before its pace tells anything

// usualPower is what p usually is, and how sure that is. A single exponential is a
// poor model of lead-acid: its charge acceptance shrinks as it fills, so the taper
// drags on; the open logs of a 17 Ah battery and made-up nights agree. Lithium's is
// near to one, the last of LiFePO4 drags a little.
func usualPower(c Chemistry) guess {
	switch {
	case c.Lead():
		return guess{1.35, 0.25}
	case c == LiFePO4:
		return guess{1.15, 0.35}
	}
	return guess{1, 0.35}
}

// tapering looks ahead in constant voltage.
func (s *sight) tapering(n *outlook) {
	went := s.went()
	to := s.endCurrent(went)
	now := s.c.trace.ending(s.constantAt, s.end, tailBlock(to, s.amps), 60)
	if to <= 0 || !(now.i > 0) {
		return
	}
	n.ok = true
	n.basis = "the taper's own shape"
	if now.i <= to {
		n.finish, n.u, n.in = s.now+tailSeconds, tailSeconds+s.blur(), went
		return
	}
	usual, spread := usualConstant(s.v.id.chemistry)
	if usual == 0 {
		usual, spread = usualConstant("")
	}
	n.tau = s.c.outlook.tau
	if n.tau.u == 0 {
		n.tau = guess{math.Log(usual), spread}
	}
	fall := math.Log(now.i / to)
	rate, power := guess{-n.tau.x, n.tau.u}, usualPower(s.v.id.chemistry)
	if r, p, ok := s.pace(&now); ok {
		rate, power = rate.and(r), power.and(p)
		n.detail = fmt.Sprintf("its rate goes with the current to the power %.1f", power.x-1)
	} else {
		n.basis = "the usual taper, since this one has hardly begun"
	}
	k := math.Exp(rate.x) // 1/s, at the current of now
	n.finish = s.now + fallTime(fall, power.x-1)/k
	// Both uncertainties, and that of the end itself.
	bent := (fallTime(fall, power.x-1+power.u) - fallTime(fall, power.x-1-power.u)) / 2
	left := n.finish - s.now
	n.u = math.Hypot(rate.u*left, bent/k)
	if s.v.id.chemistry.Lead() && s.earlierEnd() == 0 {
		n.u = math.Hypot(n.u, endSpread/k)
	}
	n.u += s.blur()
	n.in = went + now.i*fallCharge(fall, power.x-1)/k
}

// fallTime is the time, in units of the present rate's inverse, until the
// current has fallen by so many e-folds, where the rate goes with the current to
// the power q.
func fallTime(fall, q float64) float64 {
	if math.Abs(q) < 1e-3 {
		return fall
	}
	return (math.Exp(q*fall) - 1) / q
}

// fallCharge is the charge that goes in meanwhile, in units of the present
// current over the rate.
func fallCharge(fall, q float64) float64 {
	if math.Abs(1-q) < 1e-3 {
		return fall
	}
	return (1 - math.Exp(-(1-q)*fall)) / (1 - q)
}

// pace measures the rate of the fall, as its logarithm, and the power p.
func (s *sight) pace(now *block) (rate, power guess, ok bool) {
	tr := &s.c.trace
	rows := tailBlock(now.i, s.amps)
	first := tr.blockOf(s.constantAt, min(s.constantAt+max(int(rows/4), 2), s.end))
	if now.i > (1-taperLeast)*first.i || now.t1-first.t1 < 120 {
		return rate, power, false
	}
	// Two stretches of equal fall.
	middle := s.whenAt(math.Sqrt(first.i * now.i))
	half := math.Log(first.i/now.i) / 2
	t0, t2 := (first.t0+first.t1)/2, (now.t0+now.t1)/2
	if middle <= t0 || middle >= t2 {
		return rate, power, false
	}
	early, late := half/(middle-t0), half/(t2-middle)
	noise := s.amps.noise()/math.Sqrt(now.rows)/now.i + s.amps.step()/4/now.i
	// ln(rate) at the current of now, read off the line through both.
	p := math.Log(early/late) / half
	rate = guess{math.Log(late) - p*half/2*0.5, 0.08 + 0.5*noise/half + 0.10/(1+4*half)}
	power = guess{1 + p, math.Hypot(0.25/half, 2*noise/(half*half))}
	return rate, power, true
}

// whenAt is when the current in constant voltage fell to so much, s.
func (s *sight) whenAt(amps float64) float64 {
	tr := &s.c.trace
	lo, hi := s.constantAt, s.end-1
	for lo < hi {
		k := (lo + hi) / 2
		if tr.blockOf(max(k-2, s.constantAt), min(k+3, s.end)).i > amps {
			lo = k + 1
		} else {
			hi = k
		}
	}
	return tr.bins[lo].t()
}
