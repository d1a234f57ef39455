package analyze

import "math"

// A taper is no single exponential: its rate, -d ln I/dt, changes as the current
// falls. Let the rate go with a power of the current,
//
//	rate = k (I / I0)^q,
//
// where q is 0 for an exponential, 1 for a hyperbola, below 0 for a fall that
// quickens. Both are measured (taperfit.go) and weighed against what is usual.

// taper is how a current falls: its rate at the present current, and the power.
type taper struct {
	rate  float64 // 1/s
	power float64
}

// time is how long it takes to fall by so many e-folds, s.
func (t taper) time(folds float64) float64 {
	if folds <= 0 {
		return 0
	}
	if math.Abs(t.power) < 1e-3 {
		return folds / t.rate
	}
	return (math.Exp(t.power*folds) - 1) / t.power / t.rate
}

// charge is what goes in meanwhile, C, from a current of so many amperes.
func (t taper) charge(folds, amps float64) float64 {
	if folds <= 0 {
		return 0
	}
	p := 1 - t.power
	if math.Abs(p) < 1e-3 {
		return amps * folds / t.rate
	}
	return amps * (1 - math.Exp(-p*folds)) / p / t.rate
}

// rateAfter is how fast it falls after so many e-folds, 1/s.
func (t taper) rateAfter(folds float64) float64 { return t.rate * math.Exp(-t.power*folds) }

// usualConstant is the inverse of the rate at which a taper begins, as its logarithm,
// of s. Lead-acid: absorption takes two to four hours, in which the current falls to a
// fifth or a tenth (two open logs of a 17 Ah battery: 1.5 and 2.4 h for each e-fold on
// average); others are full when they come to their limit, and taper in minutes.
// Lithium-ion: 400 to 740 s from 0.3 to 1 of capacity per hour (open logs). LiFePO4 is
// full by then, and tapers in minutes.
func usualConstant(c Chemistry) guess {
	switch {
	case c.Lead():
		return guess{math.Log(0.5 * 3600), 1.0}
	case c == LiIon:
		return guess{math.Log(620), 0.5}
	case c == LiFePO4:
		return guess{math.Log(180), 0.6}
	}
	return guess{math.Log(2400), 0.8}
}

// usualPower is what q usually is, and how sure that is. A single exponential is a
// poor model of lead-acid: its charge acceptance shrinks as it fills, so the taper
// drags on; the open logs of a 17 Ah battery and made-up nights agree. Lithium's is
// near to one and drags a little, where what is inside the particles still has to spread;
// that of LiFePO4 more.
func usualPower(c Chemistry) guess {
	switch {
	case c.Lead():
		return guess{0.35, 0.25}
	case c == LiFePO4:
		return guess{0.15, 0.3}
	}
	return guess{0.05, 0.3}
}

// constant is the taper's time constant at its beginning, as its logarithm, of s. The
// way to the limit tells of it: at a held voltage V = E + I R, so dI/dt = -I (dV/dQ) / R,
// and the constant is the resistance over the slope of the voltage against charge. The
// nearer the limit, the more this counts. So much charge will have gone in, C.
func (s *sight) constant(slope, in float64) guess {
	tau := usualConstant(s.v.id.chemistry)
	if g, ok := tapers(s.o.Earlier, s.v.id.chemistry, in, s.v.limit.at(s.went()), usualPower(s.v.id.chemistry).x); ok {
		tau = g
	} else if g, ok := s.byResistance(); ok {
		tau = tau.and(g)
	}
	limit, _ := s.expectedLimit()
	now := s.c.trace.ending(0, s.end, 8, 60)
	full := fullCellV(s.v.id.chemistry) * float64(s.c.bounds.of.cells)
	over := now.v - full
	if full == 0 || slope <= 0 || over < 0.2*(limit-full) {
		return tau
	}
	gap := max(limit-now.v, 0) / (limit - full)
	told := math.Log(over / now.i / slope)
	if s.v.id.chemistry.Lead() && gap > 0 {
		// Its slope grows faster than what it stands over its rest.
		told -= overGrows * math.Log((limit-full)/over)
	}
	return tau.and(guess{told, 0.5 + 2*gap})
}

// How the constant of lead-acid shrinks with what is over the rest voltage: where the resistance
// goes with a power p of what is missing, the slope goes with p + 1, and 1/p is left. 1.6 in the
// made-up nights; chosen, no source.
const overGrows = 0.6

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

// endCurrent is the current at which the charge will count as complete, A, when so much
// has gone in, and the e-folds by which it may be another while so many amperes flow.
//
// Complete is what comes first, the tail that counts or the charger's own end, and
// chargers for lead-acid end at 1 to 3 % of capacity: some of them before the tail, but
// most no sooner, so that the tail itself is the likeliest of all. The less flows, the
// fewer are left that would have ended before.
func (p *prospect) endCurrent(in, now float64) (amps, spread float64) {
	tail := p.limit.at(in)
	if k := len(p.o.Earlier); k > 0 && p.o.Earlier[k-1].TailAmps > 0 {
		return max(p.o.Earlier[k-1].TailAmps, tail), 0.03
	}
	if !p.chemistry.Lead() || now <= tail {
		return tail, 0
	}
	reach := min(math.Log(now/tail), endReach)
	before := endBefore * reach / endReach
	return tail, math.Hypot(endWanders, reach*math.Sqrt(before/(1-endBefore+before)/3))
}

const (
	endBefore = 0.35 // of the chargers end before the tail,
	endReach  = 0.5  // evenly over so many e-folds above it
	// The voltage of a charger wanders by 10 to 20 mV, and a current that hardly falls any more wanders with it.
	endWanders = 0.06 // e-folds
)

// creeping reports whether what seems to be held is no limit: lower than any charger
// for this chemistry has, and most of the current still flows. The current of a charger
// that has no regulator sags as the voltage climbs, and where the voltage hardly climbs
// both look like the beginning of a taper.
func (s *sight) creeping() bool {
	least := leastLimitV(s.c.bounds.of.chemistry) * float64(s.c.bounds.of.cells)
	return s.v.held < least && s.c.trace.ending(0, s.end, 8, 60).i > creepShare*s.v.set
}

// What goes below that at one voltage has tapered.
const creepShare = 0.5 // of the current before

// leastLimitV is the lowest voltage a cell that chargers hold for a chemistry, less what
// meters and leads are off by: lead-acid at float, 2.23 V; li-ion where life counts most,
// 4.05 V; LiFePO4 3.45 V. 0 where no voltage is held, or nothing is known.
func leastLimitV(c Chemistry) float64 {
	switch {
	case c.Lead():
		return 2.22
	case c == LiIon:
		return 4.0
	case c == LiFePO4:
		return 3.40
	}
	return 0
}

// tapering looks ahead in constant voltage.
func (p *prospect) tapering(n *outlook, tau guess) {
	t := &p.taper
	n.ok = true
	n.basis = "the taper's own shape"
	if t.amps <= t.to {
		n.finish, n.u, n.in = p.now+tailSeconds, tailSeconds+p.blur, p.went
		return
	}
	n.tau = tau
	if n.tau.u == 0 {
		n.tau = usualConstant(p.chemistry)
	}
	var room [2 * fitPowers]supposed
	m, seen := p.tapers(guess{-n.tau.x, n.tau.u}, room[:])
	if seen {
		n.power = m.mean(func(x *supposed) float64 { return x.power })
	} else {
		n.basis = "the usual taper, since this one has hardly begun"
	}
	left := m.middle()
	n.finish = p.now + left.x
	// How fast it still falls at the end says how much the end itself matters.
	n.u = math.Hypot(left.u, t.spread*m.mean(func(x *supposed) float64 { return x.last })) + p.blur
	n.in = p.went + m.mean(func(x *supposed) float64 { return x.charge })
}
