package analyze

import "math"

// meter learns from a stream of readings of one quantity how finely they are
// stepped and how much they scatter, whatever the quantity itself does.
type meter struct {
	digits     float64 // the resolution as far as it is believed, see step
	teaching   uint64  // bits of the difference between two readings below which it tells more of it
	resolution float64 // smallest difference seen between two readings that follow each other
	middle     float64 // running median of the absolute second difference
	x1, x2     float64 // last two readings
	n          int
	moves      int     // readings that differed from the one before, as long as they matter
	place      float64 // the decimal place that the first readings were written to
	twos       bool    // not all of them stood on every second of it
	fives      bool    // nor on every fifth
}

// The median of |x - 2y + z| for white noise of standard deviation s is
// 0.6745 * sqrt(6) * s.
const secondDifferenceMedian = 1.6522

// push takes one reading. The second difference is blind to a steady rise, and
// its median to steps and spikes.
func (m *meter) push(x float64) {
	if m.teaches(m.x1, x) || m.n == 0 {
		m.learnDigits(x, math.Abs(x-m.x1))
	}
	if m.n >= learned {
		m.follow(x)
		return
	}
	if m.n >= 2 {
		m.median(math.Abs(x - 2*m.x1 + m.x2))
	}
	m.x2, m.x1 = m.x1, x
	m.n++
}

// learned is after how many readings the noise is known roughly.
const learned = 64

// teaches reports whether a reading, after another, has more to tell than how far
// readings scatter.
//
// Bits are in the order of the numbers, but that one less than those of nothing,
// which teaches nothing, is more than all others: one question instead of two.
func (m *meter) teaches(before, x float64) bool {
	return math.Float64bits(math.Abs(x-before))-1 < m.teaching
}

// follow takes a reading that teaches nothing else, once the noise is known roughly.
func (m *meter) follow(x float64) {
	m.middle = followed(m.middle, x-2*m.x1+m.x2)
	m.x2, m.x1 = m.x1, x
	m.n++
}

// followed is the running median after one more second difference.
func followed(middle, d float64) float64 {
	up := 0
	if math.Abs(d) > middle { // as often as not: no guess, and so no jump, is made of it
		up = 1
	}
	return larger(middle*finePace[up], leastMiddle)
}

// median moves the running median up or down by a share of itself: coarsely at
// first, to find the order of magnitude; finely in follow.
func (m *meter) median(d float64) {
	switch {
	case m.middle == 0:
		m.middle = d
	case d > m.middle:
		m.middle *= 1.2
	default:
		m.middle *= 0.8
	}
	m.middle = max(m.middle, leastMiddle)
}

// finePace is by what the running median is multiplied: down, and up.
var finePace = [2]float64{1 - medianPace, 1 + medianPace}

const (
	medianPace  = 0.02
	leastMiddle = 1e-7
)

// noise is the standard deviation of a reading, in the quantity's unit; 0 while
// too few were seen. Below the resolution it is the resolution that scatters.
func (m *meter) noise() float64 {
	if m.n < 8 {
		return 0
	}
	return m.roughNoise()
}

// roughNoise is the same from the first rows on, when a single step or spike may
// still make it far too large.
func (m *meter) roughNoise() float64 { return m.middle / secondDifferenceMedian }

// surelyMoved is after how many moves the smallest of them is taken for the last
// digit. The first ones may be a charger switching.
const surelyMoved = 64

// coarsest is the largest last digit that a meter is believed to have, V or A: one
// that has shown only 0 and 1 so far has not shown its digits (common practice, no
// source).
const coarsest = 0.1

// learnDigits learns from a reading that differs by d from the one before, or from
// the very first one.
func (m *meter) learnDigits(x, d float64) {
	if d > 1e-9*math.Abs(x) && m.n > 0 {
		if d < m.resolution || m.moves == 0 {
			m.resolution = d
		}
		m.moves++
	}
	m.teaching = math.Float64bits(m.resolution) - 1
	if m.moves < surelyMoved {
		m.learnPlace(x)
		m.teaching = math.Float64bits(math.Inf(1))
	}
	m.digits = m.believedDigits()
}

// surelyCounts is after how many moves readings that all stand on every second or fifth of a
// place show that the display counts so: by chance the former happens once in 65 000.
const surelyCounts = 16

// learnPlace finds the last decimal place that readings make use of: the largest
// power of ten, up to the coarsest, of which they are all multiples; and whether they
// count by twos or fives of it.
func (m *meter) learnPlace(x float64) {
	if m.place == 0 {
		m.place = coarsest
	}
	for m.place > 1e-6 && !multiple(x, m.place) {
		m.place /= 10
		m.twos, m.fives = false, false // those before were multiples of ten of it
	}
	m.twos = m.twos || !multiple(x, 2*m.place)
	m.fives = m.fives || !multiple(x, 5*m.place)
}

// multiple reports whether x is one of a step, as far as a number tells.
func multiple(x, step float64) bool {
	return math.Abs(x/step-math.Round(x/step)) <= 1e-6*max(1, math.Abs(x/step))
}

// counts is how many of the last place the display seems to go on by.
func (m *meter) counts() float64 {
	switch {
	case m.moves < surelyCounts || m.twos && m.fives:
		return 1
	case m.fives:
		return 2
	}
	return 5
}

// step is the resolution, in the quantity's unit; 0 while the reading has moved
// once at most, since that is a charger switching rather than a last digit. A
// display may be coarser than the place it is written to, never finer.
func (m *meter) step() float64 { return m.digits }

func (m *meter) believedDigits() float64 {
	switch {
	case m.moves < 2:
		return 0
	case m.moves < surelyMoved:
		return min(m.resolution, m.counts()*m.place, coarsest)
	}
	return min(m.resolution, coarsest)
}

// digit is the same, but for a reading that has hardly moved yet the place it is
// written to, a hundredth at most: a current that stands at 0.1 A is one.
func (m *meter) digit() float64 {
	if s := m.step(); s > 0 {
		return s
	}
	return min(m.place, 0.01)
}

// zeroBand is how far from zero a reading may be when nothing flows: noise at
// four standard deviations, or one and a half steps of the display, whichever
// is more. A flicker of one digit is inside, a steady small drain is not.
func (m *meter) zeroBand() float64 { return larger(4*m.noise(), 1.5*m.step()) }
