package analyze

import "math"

// totals are running sums over a log; a stretch is the difference of two.
type totals struct {
	in       float64 // C into the battery
	out      float64 // C out of it
	energy   float64 // J in
	given    float64 // J out
	onTime   float64 // s in which current flowed in
	variance float64 // C squared, of what was put in between rows: noise, steps, skew
}

func (t *totals) set(o *totals) {
	t.in, t.out, t.energy, t.given, t.onTime, t.variance = o.in, o.out, o.energy, o.given, o.onTime, o.variance
}

func (t totals) minus(o totals) totals {
	return totals{t.in - o.in, t.out - o.out, t.energy - o.energy, t.given - o.given, t.onTime - o.onTime, t.variance - o.variance}
}

func (t totals) plus(o totals) totals {
	return totals{t.in + o.in, t.out + o.out, t.energy + o.energy, t.given + o.given, t.onTime + o.onTime, t.variance + o.variance}
}

// integrate adds what flowed in one interval: everything counts with its sign,
// so that noise averages out. Where no current is known to flow and both rows
// are inside the zero band, quiet is to be asked instead.
func (t *totals) integrate(iv *interval, band, noise float64) {
	a, b := iv.a.i, iv.b.i
	q, e := between(iv, a, b, band)
	switch {
	case a >= -band && b >= -band:
		t.in += q
		t.energy += e
	case a <= 0 && b <= 0:
		t.out -= q
		t.given -= e
	default:
		t.split(iv, a, b, band)
	}
	if a > band || b > band {
		t.onTime += iv.dt
	}
	variance := noise * noise * iv.dt * iv.dt
	if isStep(a, b, band) {
		// Somewhere between the two rows: a rectangular spread of the step's charge.
		variance += (a - b) * (a - b) * iv.dt * iv.dt / 12
	}
	if skew := larger(iv.a.skew, iv.b.skew); skew > 0 {
		// Two meters: either current may be from a moment earlier or later by so
		// much, a rectangular spread of what the change brings in that time.
		variance += (a - b) * (a - b) * skew * skew / 3
	}
	t.variance += variance
}

// How the current is added up between two rows, as a session tells it. Which of the two it
// is hangs on the source alone: whether rows come at a beat, or where something changed.
const (
	methodBeat     = "by trapezoids between rows; a step of the current fell where a row off the beat says so, else anywhere between two rows"
	methodOnChange = "by trapezoids between rows, which are written on change: up to a step the current held"
)

// chargeMethod tells how the current of this log is added up.
func (m *Machine) chargeMethod() Name {
	if m.window.onChange.sure {
		return methodOnChange
	}
	return methodBeat
}

// between is the charge (C) and energy (J) of an interval: the trapezoid, but
// for three cases that testers' own counters taught.
func between(iv *interval, a, b, band float64) (charge, energy float64) {
	switch {
	case iv.aEarly && isStep(a, b, band):
		// The row before the step stands off the beat: it was written because
		// of the step, and the new current flowed all the while.
		return b * iv.dt, b * iv.b.v * iv.dt
	case iv.bEarly && isStep(a, b, band):
		// The row after the step stands off the beat: the old current flowed.
		return a * iv.dt, a * iv.a.v * iv.dt
	case iv.dt >= 3*iv.usual && a > b && b > 0 && a > 1.001*b:
		// A falling current seen rarely falls along an exponential.
		q := (a - b) / math.Log(a/b) * iv.dt
		return q, q * (iv.a.v + iv.b.v) / 2
	}
	return trapezoid(iv.a, iv.b, iv.dt)
}

func trapezoid(a, b *row, dt float64) (charge, energy float64) {
	return (a.i + b.i) / 2 * dt, (a.i*a.v + b.i*b.v) / 2 * dt
}

// isStep reports whether current was switched between two rows: it changed by
// more than half, and by more than noise can.
func isStep(a, b, band float64) bool {
	d := math.Abs(a - b)
	return d > 2*band && d > 0.5*larger(math.Abs(a), math.Abs(b))
}

// split shares an interval in which the current changed its sign. A steady
// change crosses zero where a straight line does; a step fell at any moment, so
// on average each current had half the time.
func (t *totals) split(iv *interval, a, b, band float64) {
	f := 0.5
	if !isStep(a, b, band) {
		f = a / (a - b) // share of the time before the crossing
	}
	first, second := a*f*iv.dt, b*(1-f)*iv.dt
	if !isStep(a, b, band) {
		first, second = first/2, second/2
	}
	if a > 0 {
		t.in, t.out, t.energy, t.given = t.in+first, t.out-second, t.energy+first*iv.a.v, t.given-second*iv.b.v
	} else {
		t.in, t.out, t.energy, t.given = t.in+second, t.out-first, t.energy+second*iv.b.v, t.given-first*iv.a.v
	}
}
