package analyze

import (
	"fmt"
	"math"
)

const (
	// What polarises faster than a second cannot be told from what answers at
	// once in any log of seconds, and counts with it; slower than some minutes is
	// drift. Between them the time constant is anybody's guess.
	quickestTau, slowestTau = 1.0, 300.0 // s
	tauSteps, instantSteps  = 16, 5
	secondTau               = 8.0 // the next constant, as a multiple: real cells have a row of them

	expectedPolarisation = 0.7  // of all that the voltage did in answer, or so
	unseenOhm            = 0.06 // of the change for each e-fold of time constants quicker than the rows
	vagueOhm             = 0.15 // of the resistance: one with more u95 is left out
)

// resistance reads a step's resistance: the voltage before is led on by a
// straight line to the instant of the step, the voltage after is led back to it
// by exponentials, weighed over all time constants and all instants between the
// two rows. It is false where that leaves the ohmic part open.
func (o *openStep) resistance(volts, amps *meter, opt *Options) (r Resistance, ok bool) {
	after := o.steadyAfter()
	before := o.steadyBefore()
	if len(after) < afterLeast || len(before) < beforeLeast {
		return r, false
	}
	from, to := meanAmps(before), meanAmps(after)
	jump := to - from
	line := lineThrough(before)
	noise, digit := volts.noise(), volts.step()/math.Sqrt(12)
	row := noise*noise + digit*digit
	change, u := o.change(after, &line, jump, row)
	at := (o.from + o.to) / 2
	uVolts := math.Sqrt(u*u + line.variance(at, row) + 2*digit*digit + o.unseen(change, after[0].t))
	uAmps := math.Sqrt((amps.noise()*amps.noise())*(1/float64(len(before))+1/float64(len(after))) + amps.step()*amps.step()/6)
	ohm := change / jump
	gain := (opt.Current.orDefault().Fraction + opt.Voltage.orDefault().Fraction) / math.Sqrt(6) // as two equal ones
	u95 := 2 * math.Abs(ohm) * math.Sqrt(math.Pow(uVolts/change, 2)+math.Pow(uAmps/jump, 2)+gain*gain)
	if !(ohm > 0) || u95 > vagueOhm*ohm {
		return r, false
	}
	return Resistance{AtS: Number(at), Ohm: Number(ohm), OhmU95: Number(u95), FromA: Number(from), ToA: Number(to),
		Method: fmt.Sprintf("step of current, two-step direct current method: %d rows before it and %d after, led to its instant (known within %.3g s)", len(before), len(after), o.to-o.from)}, true
}

// change is how far the voltage answered at once, V, and its standard uncertainty.
func (o *openStep) change(after []stepRow, line *straight, jump, row float64) (volts, u float64) {
	var list [instantSteps * tauSteps]belief
	var means [len(list)]float64
	misfit := math.Inf(1)
	first, most := math.Abs(after[0].v-line.at(after[0].t)), 0.0
	for _, q := range after {
		most = max(most, math.Abs(q.v-line.at(q.t)))
	}
	// An exponential is the same from whatever instant it is counted, but for a
	// factor; so one set of columns does for all.
	instant := (o.to - o.from) / instantSteps
	r := relaxation{sign: -math.Copysign(1, jump), scale: expectedPolarisation * most}
	r.take(o.points(after, line, o.from+instant/2, first/jump, row))
	var quick, slow column
	for j := range tauSteps {
		tau := quickestTau * math.Pow(slowestTau/quickestTau, float64(j)/(tauSteps-1))
		r.column(&quick, &plainExponential, tau)
		r.column(&slow, &plainExponential, secondTau*tau)
		cross := quick.cross(&slow)
		for k := range instantSteps {
			later := instant * float64(k)
			f, g := math.Exp(later/tau), math.Exp(later/(secondTau*tau))
			q := r.pair(quick.times(f), slow.times(g), cross*f*g)
			n := k*tauSteps + j
			list[n], means[n] = q, r.sign*(r.mean+q.mean)
			misfit = min(misfit, q.misfit)
		}
	}
	wider := max(misfit/float64(len(after)), 1)
	best := math.Inf(-1)
	for _, q := range list {
		best = max(best, q.log)
	}
	var weight, mean, square float64
	for k, q := range list {
		w := math.Exp((q.log - best) / wider)
		weight += w
		mean += w * means[k]
		square += w * (means[k]*means[k] + wider*q.variance)
	}
	mean /= weight
	return mean, math.Sqrt(max(square/weight-mean*mean, 0))
}

// unseen is the variance of what polarised before the first row that could have
// shown it, V squared.
func (o *openStep) unseen(change, first float64) float64 {
	u := unseenOhm * change * (0.25 + math.Log(max((first-o.from)/quickestTau, 1)))
	return u * u
}

// points is the voltage after the step less what it would have been without. A
// current that still moved a little is set right with the resistance as first seen.
func (o *openStep) points(after []stepRow, line *straight, at, ohm, row float64) []restPoint {
	ohm = math.Abs(ohm)
	p := make([]restPoint, len(after))
	for k, r := range after {
		p[k] = restPoint{r.t - at, r.v - line.at(r.t) - ohm*(r.i-after[0].i), row}
	}
	return p
}

// steadyAfter is the rows after the step while the current stood.
func (o *openStep) steadyAfter() []stepRow {
	limit := unsteady * math.Abs(o.after[0].i-o.before[o.nb-1].i)
	n := 0
	for n < o.na && math.Abs(o.after[n].i-o.after[0].i) <= limit {
		n++
	}
	return o.after[:n]
}

// steadyBefore is the rows before it, as far back.
func (o *openStep) steadyBefore() []stepRow {
	last := o.before[o.nb-1].i
	limit := unsteady * math.Abs(o.after[0].i-last)
	n := o.nb
	for n > 0 && math.Abs(o.before[n-1].i-last) <= limit && (o.nb-n < beforeLeast || o.from-o.before[n-1].t <= beforeSeconds) {
		n--
	}
	return o.before[n:o.nb]
}

func meanAmps(rows []stepRow) (i float64) {
	for _, r := range rows {
		i += r.i / float64(len(rows))
	}
	return i
}

// straight is a least-squares line.
type straight struct {
	t, v, slope, n, spread float64
	scatter                float64 // V squared, of a row about it
}

func lineThrough(rows []stepRow) (l straight) {
	l.n = float64(len(rows))
	for _, r := range rows {
		l.t += r.t / l.n
		l.v += r.v / l.n
	}
	for _, r := range rows {
		l.spread += (r.t - l.t) * (r.t - l.t)
		l.slope += (r.t - l.t) * (r.v - l.v)
	}
	l.slope /= l.spread
	for _, r := range rows {
		d := r.v - l.at(r.t)
		l.scatter += d * d / (l.n - 2)
	}
	return l
}

func (l *straight) at(t float64) float64 { return l.v + l.slope*(t-l.t) }

// variance of the line at t, where each row has so much of it, or what it shows.
func (l *straight) variance(t, row float64) float64 {
	return max(row, l.scatter) * (1/l.n + (t-l.t)*(t-l.t)/l.spread)
}
