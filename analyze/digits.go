package analyze

import "math"

// This file is about how finely a meter is stepped.

// teaches reports whether a reading, after another, has more to tell than how far
// readings scatter.
//
// Bits one less than those of nothing, which teaches nothing, are more than all others:
// one question instead of two.
func (m *meter) teaches(before, x float64) bool {
	return distance(before, x)-1 < m.teaching
}

// distance is how far two readings are from each other, as bits: these are in the order of
// the numbers, and 0 for none.
func distance(x, y float64) uint64 { return math.Float64bits(y-x) << 1 >> 1 }

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
