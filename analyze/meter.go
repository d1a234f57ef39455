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

// zeroBand is how far from zero a reading may be when nothing flows: noise at
// four standard deviations, or one and a half steps of the display, whichever
// is more. A flicker of one digit is inside, a steady small drain is not.
func (m *meter) zeroBand() float64 { return larger(4*m.noise(), 1.5*m.step()) }
