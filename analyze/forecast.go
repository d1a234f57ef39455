package analyze

import (
	"fmt"
	"math"
)

// The forecast: when a running charge will be complete and what will have gone
// in, with a 95 % interval.
//
// In constant current there is a charge to go until the voltage limit, and a taper
// after it. The charge to go is judged twice, and the two are weighed by how sure
// they are: from what the battery needs in all (its capacity, its rest voltage
// before the charge, and what earlier nights took; see forecastneed.go), which is
// good early, and from the voltage's path towards the limit, which is good late.
// In constant voltage the taper's own shape tells (forecasttaper.go). What comes
// out is a mean and a standard deviation, in s; as long as nothing is known to go
// by, there is no forecast.

// outlook is a forecast in the making.
type outlook struct {
	ok      bool
	finish  float64 // s
	u       float64 // s, standard uncertainty
	in      float64 // C that will have gone in
	basis   string
	detail  string   // that may change from one look to the next
	seen    float64  // s, when it was made
	amps    float64  // A, mean of the last half hour
	revised string   // how it moved far not long ago, and why
	moved   float64  // s, when
	anchor  *outlook // what later ones are compared with; never changed once made
	tau     guess    // logarithm of the taper's time constant, s
}

const (
	// Steadier than the last minute, where a charger pauses or pulses.
	forecastMean = 1800 // s
	// Sooner than this there is no path to speak of.
	forecastLeast = 300 // s
	// A forecast that moves by more than this share of its interval says why.
	forecastJump = 0.75
	// And does so for an hour.
	forecastTold = 3600 // s
)

// forecast looks ahead, and says so where that has moved far from what it said
// before, all at once or little by little.
func (s *sight) forecast() outlook {
	n := s.ahead()
	old := s.c.outlook.anchor
	if !n.ok {
		return n
	}
	n.anchor = old
	if s.now-s.c.outlook.moved < forecastTold {
		n.revised, n.moved = s.c.outlook.revised, s.c.outlook.moved
	}
	switch {
	case old == nil:
		n.anchor = n.alone()
	case math.Abs(n.finish-old.finish) > forecastJump*2*old.u:
		n.revised = fmt.Sprintf("moved from %s, as was said at %s, to %s at %s: %s", clock(old.finish), clock(old.seen), clock(n.finish), clock(s.now), n.cause(old))
		n.moved = s.now
		n.anchor = n.alone()
	}
	return n
}

// alone is a copy that remembers nothing of the past.
func (n *outlook) alone() *outlook {
	c := *n
	c.anchor = nil
	return &c
}

// cause says why a forecast has moved away from the one before.
func (n *outlook) cause(old *outlook) string {
	switch {
	case n.basis != old.basis:
		return "it now rests on " + n.basis
	case math.Abs(n.amps-old.amps) > 0.05*old.amps:
		return fmt.Sprintf("the current changed from %.3g to %.3g A", old.amps, n.amps)
	case n.finish > old.finish:
		return "it goes slower than was expected"
	}
	return "it goes quicker than was expected"
}

func (s *sight) ahead() outlook {
	tr := &s.c.trace
	if Known(s.v.finish) || s.now-s.c.begin.t < forecastLeast ||
		s.noProgress(CodeThermalRunaway, CodeVoltageNotReached, CodeStalled, CodeNoTaper, CodeOpenCircuit) {
		return outlook{}
	}
	from := tr.index(s.now - forecastMean)
	amps := (tr.bins[s.end].at.in - tr.bins[from].at.in) / (tr.bins[s.end].t0 - tr.bins[from].t0)
	n := outlook{seen: s.now, amps: amps}
	if s.c.hold.found {
		s.tapering(&n)
	} else {
		s.filling(&n)
	}
	return n
}

// filling looks ahead in constant current: so much charge to go at this current,
// and then the taper.
func (s *sight) filling(n *outlook) {
	need, ok := s.need()
	if !ok || n.amps <= 0 {
		return
	}
	went := s.went()
	p, slope, sloping := s.path()
	n.tau = s.constant(slope)
	t := taperFrom(n.tau, n.amps, s.endCurrent(went))
	togo := guess{need.total - t.charge - went, math.Hypot(need.u, t.charge*t.spread)}
	prior := togo
	if sloping && prior.agrees(p) {
		togo = togo.and(p)
	}
	if b, ok := s.bending(); ok {
		if b.x -= t.charge; prior.agrees(b) {
			togo = togo.and(b)
		}
	}
	togo = togo.positive()
	n.ok = true
	n.finish = s.now + togo.x/n.amps + t.seconds
	n.u = math.Hypot(togo.u/n.amps, t.seconds*t.spread) + s.blur()
	n.in = went + togo.x + t.charge
	n.basis = need.basis
}

// endCurrent is the current at which the charge will count as complete, A, when
// so much has gone in.
//
// Complete is what comes first, the tail that counts or the charger's own end, and
// chargers for lead-acid end at 2 to 3 % of capacity: somewhat before the tail.
func (s *sight) endCurrent(in float64) float64 {
	if a := s.earlierEnd(); a > 0 {
		return max(a, s.v.limit.at(in))
	}
	if s.v.id.chemistry.Lead() {
		return endEarlier * s.v.limit.at(in)
	}
	return s.v.limit.at(in)
}

// earlierEnd is the current at which this charger ended the night before, A; 0
// unknown.
func (s *sight) earlierEnd() float64 {
	if k := len(s.o.Earlier); k > 0 {
		return s.o.Earlier[k-1].TailAmps
	}
	return 0
}

const (
	endEarlier = 1.10
	endSpread  = 0.15 // of that current, either way
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
	share, spread := 0.70, 0.35
	switch c := s.v.id.chemistry; {
	case c == LiIon:
		share, spread = 0.9, 0.4
	case c == LiFePO4:
		share, spread = 0.4, 0.5
	}
	gap := max(limit-now.v, 0)
	return guess{share * gap * line, math.Hypot(spread*gap*line, slack*line)}, 1 / line, true
}

// bending is the charge to go until full by how the voltage's slope grows, C. A
// charging voltage climbs as if it were to meet a wall where the battery is full:
// the reaction runs short of what it needs in inverse proportion to what is left,
// so the slope goes with its inverse square, and where it has doubled the distance
// has shrunk by the root of two. Judged over two stretches that follow each other;
// lithium-ion has no such bend.
func (s *sight) bending() (guess, bool) {
	if s.v.id.chemistry == LiIon {
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
	left := step*r/(1-r) - step/2 // slopes are those of the middles
	if s.v.id.chemistry.Nickel() {
		left *= bendNickel
	}
	return guess{max(left, 0), bendSpread*max(left, 0) + step/4}, true
}

const (
	bendLeast  = 0.15 // of capacity: the quick rise at the beginning bends the other way
	bendGrowth = 1.3
	bendSpread = 0.18
	bendNickel = 0.55 // its gas takes over before the wall, and the voltage peaks
)

const pathWindow = 0.05 // of capacity that the slope is taken over

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
		return 4.2 * n, 0.01 * n
	case c == LiFePO4:
		return 3.62 * n, 0.03 * n
	}
	return 0, 0
}

// told is the forecast as people and programs get it; nil while there is none.
func (n *outlook) told() *Forecast {
	if !n.ok {
		return nil
	}
	method := n.basis
	if n.detail != "" {
		method += " (" + n.detail + ")"
	}
	if n.revised != "" {
		method += "; " + n.revised
	}
	return &Forecast{FinishS: Number(n.finish), FinishSU95: Number(2 * n.u), ChargeInAh: Number(ampHours(n.in)), Method: method}
}

// guess is a quantity that is roughly known: its mean and standard deviation.
type guess struct{ x, u float64 }

// and weighs two independent guesses of the same quantity by their variance.
func (a guess) and(b guess) guess {
	wa, wb := 1/(a.u*a.u), 1/(b.u*b.u)
	return guess{(wa*a.x + wb*b.x) / (wa + wb), 1 / math.Sqrt(wa+wb)}
}

// agrees reports whether two guesses can be of the same quantity. Where they
// cannot, the second has misunderstood something: LiFePO4 climbs a step in the
// middle of its plateau that looks like the end.
func (a guess) agrees(b guess) bool {
	return math.Abs(a.x-b.x) < 2.5*math.Hypot(a.u, b.u)
}

// positive is the guess given that the quantity is not negative: a normal
// distribution cut off at zero. A charge that takes more than was thought always
// has a little to go.
func (a guess) positive() guess {
	z := -a.x / a.u
	if z > 6 {
		return guess{a.u / z, a.u / z} // what is left of the normal's tail falls off like an exponential
	}
	h := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / (0.5 * math.Erfc(z/math.Sqrt2))
	return guess{a.x + a.u*h, a.u * math.Sqrt(max(1-h*(h-z), 1e-6))}
}
