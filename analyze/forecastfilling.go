package analyze

import "math"

// filling looks ahead in constant current: so much charge to go at this current,
// and then the taper. How long a taper will be is supposed in several ways, each as
// likely as is usual and as the charge allows: what a slow taper takes can no more go
// in before it.
func (p *prospect) filling(n *outlook) {
	f := p.fill
	var room [len(f.needs) * fillTapers]supposed
	m := mixture(room[:0])
	for j := range f.needs[:f.count] {
		for k := range fillTapers {
			z := 5 * (float64(k)/(fillTapers-1) - 0.5)
			x := p.supposing(f.usual.x+z*f.usual.u, &f.needs[j])
			x.likeness -= z * z / 2
			m = append(m, x)
		}
	}
	m.weigh()
	left := m.middle()
	n.ok = true
	n.finish = p.now + left.x
	done := p.now - p.begin
	n.u = left.u*p.narrowing(done/(done+left.x)) + p.blur
	n.in = p.went + m.mean(func(x *supposed) float64 { return x.charge })
	n.tau = m.spread(func(x *supposed) float64 { return x.tau })
	n.basis = f.by.words()
	if f.clues.recurring {
		n.basis += ", and how the voltage went then"
	}
}

const fillTapers = 11

// narrowing is what the interval of a charge that still fills is multiplied by when such
// a share of it is gone. The spreads were chosen one by one, each wide. Early they are
// about right; late, a voltage that has not shown the end for so long is in all of them,
// and they count the same doubt several times. Measured on five models of batteries, no
// theory. Lead-acid is left nearly as it is: its tapers differ most; and so is what has shown how
// near its end is: nickel that climbs towards its peak, LiFePO4 by the step of its plateau.
// Lithium-ion is not narrowed late: what its slope tells has its own spread, as its make has it;
// and until a night of the battery has shown the make, it is widened.
func (p *prospect) narrowing(gone float64) float64 {
	least := 0.55
	switch {
	case p.chemistry == LiIon && len(p.o.Earlier) == 0:
		return 1.5 - 0.4*gone
	case p.chemistry == LiIon:
		least = 1
	case p.chemistry.Lead():
		return 0.9
	case p.fill.clues.climbing, p.fill.clues.stepping:
		return 0.74
	case p.chemistry.Nickel() && len(p.o.Earlier) > 0:
		least = 0.74 // how warm it is shifts all of a night alike: one doubt, in one of them
	}
	return max(1.2-0.9*gone, least)
}

// supposing is what is to come if the taper's time constant were this, as its
// logarithm, of s.
func (p *prospect) supposing(tau float64, need *need) supposed {
	amps := p.amps
	to, spread := p.endCurrent(need.x, amps)
	t := taper{math.Exp(-tau), usualPower(p.chemistry).x}
	folds := math.Log(amps / to)
	if p.chemistry.Nickel() {
		folds = 0 // it peaks, and tapers nowhere
	}
	after := t.charge(folds, amps)
	togo, likeness := p.fill.clues.follow(guess{need.x - after - p.went, need.u}, after)
	return supposed{
		likeness: need.likeness + likeness + p.steepness(togo, tau),
		of:       guess{togo.x/amps + t.time(folds), math.Hypot(togo.u/amps, spread/t.rateAfter(folds))},
		charge:   togo.x + after,
		tau:      tau,
	}
}

// clues are what the voltage tells of the charge to go, C.
type clues struct {
	path, bend, rise, step, end, before                      guess
	sloping, bending, climbing, stepping, leaving, recurring bool
	slope                                                    float64 // V/C
	least                                                    float64 // C that are still to go at the least
}

func (s *sight) clues() clues {
	var c clues
	c.path, c.slope, c.sloping = s.path()
	c.bend, c.bending = s.bending()
	c.step, c.stepping = s.plateau()
	c.end, c.leaving = s.leaving()
	c.before, c.recurring = s.wayBefore()
	c.rise, c.climbing, c.least = s.nickelRise()
	c.bending = c.bending && (c.climbing || !s.v.id.chemistry.Nickel())
	return c
}

// follow is the charge to go until the limit, with so much to go in after it, and how
// likely the clues are then, on a logarithmic scale.
func (c *clues) follow(togo guess, after float64) (guess, float64) {
	likeness := 0.0
	take := func(is bool, clue guess) {
		if is {
			both, like := togo.with(clue)
			togo, likeness = both, likeness+like
		}
	}
	switch {
	case c.recurring: // this very battery tells more than any table
		togo, likeness = c.before.with(togo)
	case c.stepping:
		var ok bool
		step := guess{c.step.x - after, c.step.u}
		if likeness, ok = togo.odds(step); ok {
			// What went in before the step tells of the capacity as much as of where the step
			// is, one way and the other: of what comes after it the need knows nothing more.
			togo = step
		}
	}
	take(c.sloping, c.path)
	take(c.climbing, c.rise)
	take(c.leaving, c.end)
	take(c.bending, guess{c.bend.x - after, c.bend.u})
	togo, cut := togo.above(c.least)
	return togo, likeness + cut
}

// steepness is how likely a taper's constant is, on a logarithmic scale, with so much
// charge to go until the limit. The voltage has to climb the gap that is left within
// that charge, so its slope at the limit is steeper than the mean one from here, and
// for lead-acid, whose slope grows, from twice on to ten times; and the constant is
// what is over the rest voltage, over that slope and the current.
func (p *prospect) steepness(togo guess, tau float64) float64 {
	over, gap := p.fill.over, p.fill.gap
	if !p.chemistry.Lead() || gap <= 0 || over <= 0 {
		return 0
	}
	z := (tau - math.Log(over/gap*togo.x/p.amps/steeper)) / math.Hypot(steeperSpread, togo.u/togo.x)
	return -z * z / 2
}

const (
	steeper       = 5.5
	steeperSpread = 1.2 // as a logarithm
)

// blur is how far any moment of a charge is uncertain anyhow, s: rows apart, and
// what nobody thought of.
func (s *sight) blur() float64 { return s.c.trace.width + 0.003*(s.now-s.c.begin.t) }

// path is the charge to go by the voltage's way to the limit, C: the gap that is
// left, over the slope of late. The slope grows as a battery fills, so the gap
// closes sooner than a straight line says: by about a third for lead-acid, hardly
// for lithium-ion; LiFePO4 leaves its plateau so late that its path says little.
// The shares are our own, from the shapes of published curves. The slope itself is
// given too, V/C.
func (s *sight) path() (togo guess, slope float64, ok bool) {
	limit, slack := s.expectedLimit()
	if limit == 0 {
		return guess{}, 0, false
	}
	tr := &s.c.trace
	last := tr.bins[s.end].at.in
	from := tr.indexIn(last - pathWindow*max(s.o.Capacity, s.went()))
	if tr.bins[from].t0 < s.c.begin.t+forecastLeast {
		return guess{}, 0, false
	}
	now, then := tr.ending(0, s.end, 8, 60), tr.ending(0, from+1, 8, 60)
	rise := now.v - then.v
	if sure := 3*s.volts.noise()*math.Sqrt(1/now.rows+1/then.rows) + s.volts.step(); rise < 2*sure {
		return guess{}, 0, false
	}
	line := (last - tr.bins[from].at.in) / rise // C for each V
	share, spread := 0.6, 0.5
	switch c := s.v.id.chemistry; {
	case c == LiIon:
		share = 1
		line, spread = s.steepening(line, now.v)
		slack = min(slack, max(0.01*float64(s.c.bounds.of.cells), (limit-now.v)/4)) // lower limits are passed by and by
	case c == LiFePO4:
		share, spread = 0.4, 0.5
	}
	gap := max(limit-now.v, 0)
	spread = math.Hypot(spread, s.plateauStep()/rise)
	return guess{share*gap*line - s.since(&now), math.Hypot(spread*gap*line, slack*line)}, 1 / line, true
}

// since is what has gone in since the middle of the stretch that ends now, C: where rows are a
// minute apart, it lies minutes back, and late in a charge those count.
func (s *sight) since(b *block) float64 { return b.i * (s.now - (b.t0+b.t1)/2) }

// steepening is the charge for each volt until the limit, C/V, of lithium-ion that takes so
// much for each at such a voltage, and how sure that is, as a share. Shortly before the limit
// the slope is much the same for all makes (slopeNearFull); where it is another by now, as beside
// a plateau of graphite, of manganese or of much nickel, it goes half way to that in the mean. So
// far from it, it is the less sure. In open logs of four makes, from 3.75 V on, it was so out by a
// tenth with nickel and by a third with manganese.
func (s *sight) steepening(line, volts float64) (mean, spread float64) {
	cells := float64(s.c.bounds.of.cells)
	if s.o.Capacity <= 0 || volts < steepensFrom*cells {
		return line, 0.5
	}
	near := s.o.Capacity / cells / slopeNearFull
	return 2 / (1/line + 1/near), math.Hypot(steepensSpread, steepensStrays*math.Log(line/near))
}

const (
	steepensFrom   = 3.75 // V a cell; below, plateaus are still to come
	steepensSpread = 0.2
	steepensStrays = 0.5
)

// bending is the charge to go until full by how the voltage's slope grows, C. A
// charging voltage climbs as if it were to meet a wall where the battery is full:
// the reaction runs short of what it needs in inverse proportion to what is left,
// so the slope goes with its inverse square, and where it has doubled the distance
// has shrunk by the root of two. Judged over two stretches that follow each other;
// lithium-ion has no such bend, and that of LiFePO4 is over sooner than such stretches are (see leaving).
func (s *sight) bending() (guess, bool) {
	if s.v.id.chemistry.Lithium() {
		return guess{}, false
	}
	tr := &s.c.trace
	q := s.o.Capacity
	if q <= 0 {
		q = s.went()
	}
	last := tr.bins[s.end].at.in
	k1, k0 := tr.indexIn(last-pathWindow*q), tr.indexIn(last-2*pathWindow*q)
	if k0 < 4 || tr.bins[k0].at.in-s.c.begin.sum.in < bendLeast*q {
		return guess{}, false
	}
	a, b, c := tr.ending(0, k0+1, 8, 60), tr.ending(0, k1+1, 8, 60), tr.ending(0, s.end, 8, 60)
	sure := 2*s.volts.noise()*math.Sqrt(2/min(a.rows, b.rows, c.rows)) + s.volts.step()/2
	first, second := b.v-a.v, c.v-b.v
	if first < sure || second < bendGrowth*first+2*sure {
		return guess{}, false
	}
	r := math.Sqrt(first / second)
	step := pathWindow * q
	left, spread, least := max(step*r/(1-r)-step/2-s.since(&c), 0), bendSpread, 0.0 // slopes are those of the middles
	if s.v.id.chemistry.Nickel() {
		left, spread, least = bendNickel*left, bendNickelSpread, bendNickelLeast*q
	}
	return guess{left, math.Hypot(spread*left+step/4, least)}, true
}

const (
	bendLeast        = 0.15 // of capacity: the quick rise at the beginning bends the other way
	bendGrowth       = 1.3
	bendNickelSpread = 0.30 // in four models of batteries it is out by up to a factor of two, either way
	bendSpread       = 0.40
	bendNickel       = 0.7
	bendNickelLeast  = 0.045 // of capacity that it is unsure by at the least: near its peak nickel meets no wall
)

const pathWindow = 0.05 // of capacity that the slope is taken over

// plateauStep is what a voltage climbs, V, in the middle of the plateau of LiFePO4, where
// the graphite goes from one stage to the next: 20 to 25 mV a cell (published curves).
// It looks like the end until much more than that has come.
func (s *sight) plateauStep() float64 {
	if s.v.id.chemistry != LiFePO4 {
		return 0
	}
	return 0.02 * float64(s.c.bounds.of.cells)
}

// expectedLimit is the voltage at which constant current will end, and how sure
// that is, V: as on earlier nights, or as is usual. Nickel has none.
func (s *sight) expectedLimit() (volts, slack float64) {
	for k := len(s.o.Earlier) - 1; k >= 0; k-- {
		if v := s.o.Earlier[k].HeldVolts; v > 0 {
			return v, 0.005 * v
		}
	}
	n := float64(s.c.bounds.of.cells)
	switch c := s.c.bounds.of.chemistry; {
	case c == LeadGel:
		return 2.38 * n, 0.02 * n
	case c.Lead():
		return 2.425 * n, 0.02 * n
	case c == LiIon:
		return 4.2 * n, 0.03 * n // some hold 4.1 V, for a long life
	case c == LiFePO4:
		return 3.62 * n, 0.03 * n
	}
	return 0, 0
}
