package analyze

import "math"

// bend is the moment when the voltage limit began to rule.
type bend struct {
	at    float64 // s
	touch float64 // s, when the voltage first came to the limit
	hunts bool    // the source hunted about its limit; at is the first touch
}

const (
	touching    = 0.005 // of the held voltage: so near counts as having come to it
	besideTouch = 0.96  // of it: what the bins on both sides must have
	fallen      = 0.90  // of the current before the touch: a fall below it is after the bend
	huntBins    = 40    // bins after the touch that are looked at for hunting
	huntSwing   = 0.03  // of the current: a smaller swing is not hunting
	huntShare   = 0.15  // of the bins that must be turning points
)

// findBend dates the bend, given where a held voltage was seen later, and its
// level as known by now, V. last is what it fitted last in this charge.
//
// It lies between two moments that can be told without any model: the first
// time that the voltage came to the limit, and the first fall of the current,
// by a tenth, after that. In between, both curves bend: the voltage rises along a
// parabola and then stands; the current stands and then falls as diffusion lets it, with a root and
// a straight line. Each candidate moment is tried: both pairs are fitted by least squares, joined at the moment, and the
// one that leaves the least is taken. Of two fits with unknown scatter the more
// likely one has the smaller sum of logarithms of what is left, so a coarse
// voltmeter beside a fine ammeter, or the other way round, each count for what
// they are worth.
func findBend(tr *trace, h *hold, held float64, volts, amps *meter, last *bendFit) bend {
	touch := firstTouch(tr, h, held, volts)
	if touch < 3 {
		return bend{at: tr.bins[0].t0, touch: tr.bins[0].t0} // held from the first row
	}
	if h.leapt {
		return bend{at: tr.bins[touch].t0, touch: tr.bins[touch].t0} // and no fall tells more
	}
	fall := max(min(firstFall(tr, touch, amps), leftLimit(tr, h)), touch)
	b := bend{touch: tr.bins[touch].t0}
	from, to := bendWindow(tr, touch, fall, h)
	if b.hunts = hunts(tr, touch, h, amps); b.hunts {
		b.at = b.touch
		return b
	}
	fit := bendFit{
		from: from, to: to, rows: tr.bins[to-1].rows, width: tr.width,
		lo: b.touch, hi: tr.bins[fall].t1, seen: max(h.seen, b.touch), floorV: scatterFloor(volts), floorI: scatterFloor(amps),
	}
	if !fit.same(last) {
		fit.fit(tr.bins[from:to])
		*last = fit
	}
	b.at = last.at
	return b
}

// bendFit is a fit of a bend and what it was fitted to. A charge is looked at again and
// again, a pulsed one with every pulse, and bins in the past stay what they are.
type bendFit struct {
	from, to       int     // bins
	rows           float64 // in the last of them, which may still be open
	width          float64 // s, of a bin
	lo, hi         float64 // s, between which the bend lies
	seen           float64 // s, by when it was over
	floorV, floorI float64 // see joined
	at             float64 // s, the bend
}

func (f bendFit) same(other *bendFit) bool {
	f.at = other.at
	return f == *other
}

func (f *bendFit) fit(bins []bin) {
	around := newJoined(bins, f.floorV, f.floorI)
	if f.at = f.least(around, f.hi); f.at > f.seen { // where little of a taper is there, as little tells
		f.at = f.least(around, f.seen)
	}
}

// least is the moment until hi, s, of the best fit.
func (f *bendFit) least(around *joined, hi float64) float64 {
	at := leastOf(around.score, f.lo, hi, 32)
	for width := (hi - f.lo) / 16; width > f.width/8; width /= 8 {
		at = leastOf(around.score, max(at-width, f.lo), min(at+width, hi), 16)
	}
	return at
}

// firstTouch is the bin in which the voltage first came to the limit, so near
// that the meter's steps cannot hide it. A spike far from its neighbours does
// not count.
func firstTouch(tr *trace, h *hold, held float64, volts *meter) int {
	near := held - max(touching*held, 1.2*volts.step())
	for k := 0; k+1 < len(tr.bins); k++ {
		if tr.bins[k].v() >= near && tr.bins[max(k-1, 0)].v() >= besideTouch*held && tr.bins[k+1].v() >= besideTouch*held {
			return k
		}
	}
	return tr.index(h.from)
}

// firstFall is the bin after the touch in which the current has fallen by a
// tenth, or the last one.
func firstFall(tr *trace, touch int, amps *meter) int {
	last := len(tr.bins) - 1
	level := highest(tr, touch)
	for k := touch; k < last; k++ {
		b := &tr.bins[k]
		if b.i() < min(fallen*level, level-1.5*amps.step()-1.5*amps.noise()/math.Sqrt(b.rows)) {
			return k
		}
	}
	return last
}

// leftLimit is the last bin before the charger stepped down from its limit, which was seen to rule, or the last one.
// What falls with such a step is none of the taper's.
func leftLimit(tr *trace, h *hold) int {
	for k := tr.index(h.seen) + 1; k < len(tr.bins); k++ {
		if tr.bins[k].v() < h.volts*(1-floatDrop) {
			return k - 1
		}
	}
	return len(tr.bins) - 1
}

// highest is the largest current, over three bins, of the last part of the rise.
// A regulator that gives way softly has lost some of it by the touch.
func highest(tr *trace, touch int) float64 {
	from := tr.index(tr.bins[touch].t0 - 0.15*(tr.bins[touch].t0-tr.bins[0].t0))
	most := 0.0
	for k := from; k <= touch; k++ {
		_, i, _ := tr.mean(max(k-1, 0), min(k+2, len(tr.bins)))
		most = max(most, i)
	}
	return most
}

// bendWindow picks the bins around the bracket: enough of the rise to know its
// bend, and of the fall while it is still near its beginning.
func bendWindow(tr *trace, touch, fall int, h *hold) (from, to int) {
	span := max(tr.bins[fall].t1-tr.bins[touch].t0, 0.06*(tr.bins[touch].t0-tr.bins[0].t0), 8*tr.width)
	left := max(leftLimit(tr, h), fall) + 1
	from, to = max(touch-4, 0), min(fall+5, left)
	for from > 0 && tr.bins[touch].t0-tr.bins[from].t0 < span {
		from--
	}
	for to < left && tr.bins[to-1].t0-tr.bins[fall].t1 < span && tr.bins[to-1].i() > 0.6*h.first {
		to++
	}
	return from, to
}

// hunts reports whether, once it had come to its limit, the source swung to and
// fro instead of holding: many of the bins that follow are turning points, with
// swings that noise cannot explain. A pause now and then is not that.
func hunts(tr *trace, touch int, h *hold, amps *meter) bool {
	to := min(touch+huntBins, len(tr.bins)-1)
	turns := 0
	for k := touch + 1; k < to; k++ {
		b := &tr.bins[k]
		before, after := b.i()-tr.bins[k-1].i(), tr.bins[k+1].i()-b.i()
		least := max(huntSwing*h.first, 4*amps.noise()/math.Sqrt(b.rows), 1.5*amps.step())
		if before*after < 0 && min(math.Abs(before), math.Abs(after)) > least {
			turns++
		}
	}
	return turns >= 4 && float64(turns) > huntShare*float64(to-touch)
}

// scatterFloor keeps a quantised reading that happens to fit exactly from
// counting as infinitely good, in the quantity's unit squared.
func scatterFloor(m *meter) float64 {
	return m.step()*m.step()/12/16 + 1e-12
}

// leastOf is the argument between lo and hi, tried in so many steps, at which f is least.
func leastOf(f func(float64) float64, lo, hi float64, steps int) float64 {
	best, at := math.Inf(1), lo
	for k := range steps + 1 {
		x := lo + (hi-lo)*float64(k)/float64(steps)
		if y := f(x); y < best {
			best, at = y, x
		}
	}
	return at
}
