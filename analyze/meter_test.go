package analyze

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

func readBy(n int, reading func(k int) float64) *meter {
	var m meter
	for k := range n {
		m.push(reading(k))
	}
	return &m
}

// White noise of a known standard deviation, drawn by chance, is found again within a
// third, whatever the quantity does meanwhile.
func TestNoiseIsFoundUnderARiseAndUnderSteps(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for name, shape := range map[string]func(k int) float64{
		"level": func(int) float64 { return 12.6 },
		"rise":  func(k int) float64 { return 12 + 0.01*float64(k) },
		"steps": func(k int) float64 { return 12 + 5*float64(k/50%2) },
		"spikes": func(k int) float64 {
			if k%40 == 0 {
				return 99
			}
			return 12
		},
	} {
		for _, s := range []float64{0.001, 0.015, 0.3} {
			m := readBy(5000, func(k int) float64 { return shape(k) + s*r.NormFloat64() })
			assert.InEpsilon(t, s, m.noise(), 0.33, "%s, %g", name, s)
		}
	}
}

// The median of the second difference of white noise, 0.6745 x sqrt(6) standard
// deviations: the normal distribution's quartile is 0.6745, and the variance of
// x - 2y + z is 1 + 4 + 1.
func TestSecondDifferencesOfNoiseHaveTheirMedian(t *testing.T) {
	assert.InDelta(t, 0.6744898*math.Sqrt(6), secondDifferenceMedian, 1e-4)
}

func TestResolutionIsTheSmallestStep(t *testing.T) {
	m := readBy(100, func(k int) float64 { return 12 + 0.01*float64(k%7) })
	assert.InDelta(t, 0.01, m.step(), 1e-9)
	still := readBy(100, func(int) float64 { return 12 })
	assert.Zero(t, still.step())
	assert.Zero(t, readBy(9, func(k int) float64 { return float64(k / 5) }).step(), "one move is a charger switching")
	assert.Equal(t, coarsest, readBy(100, func(k int) float64 { return float64(k / 5 % 2) }).step(), "0 and 1 A are not the digits of a meter")
	assert.InDelta(t, 0.001, readBy(4, func(k int) float64 { return []float64{0.001, 4.998, 5.001, 4.997}[k] }).step(), 1e-9,
		"few moves, which may be a charger switching: the place that is written to")
	coarse := readBy(200, func(k int) float64 { return 0.05 * float64(k%5) })
	assert.InDelta(t, 0.05, coarse.step(), 1e-9, "a display may be coarser than the place it is written to")
}

// A slow rise moves a coarse display some dozen times in a charge: what all its readings are multiples of
// tells how it counts, long before the smallest of very many moves would.
func TestDisplayThatCountsByTwosOrFivesIsToldEarly(t *testing.T) {
	for _, c := range []struct {
		moves     int
		by, wants float64
	}{{20, 0.05, 0.05}, {20, 0.02, 0.02}, {20, 0.01, 0.01}, {20, 0.03, 0.01}, {10, 0.05, 0.01}, {20, 0.2, 0.1}} {
		m := readBy(c.moves+1, func(k int) float64 { return c.by * float64(600+k) })
		assert.InDelta(t, c.wants, m.step(), 1e-9, "%d moves by %g V", c.moves, c.by)
	}
	finer := readBy(40, func(k int) float64 {
		if k < 20 {
			return 12 + 0.05*float64(k)
		}
		return 13 + 0.01*float64(k)
	})
	assert.InDelta(t, 0.01, finer.step(), 1e-9, "one that is no multiple takes it back")
}

func TestFewReadingsTellNoNoise(t *testing.T) {
	assert.Zero(t, readBy(7, func(k int) float64 { return float64(k * k) }).noise())
	assert.Positive(t, readBy(8, func(k int) float64 { return float64(k * k) }).noise())
}

// A flicker of one digit is inside the zero band; three digits of a quiet meter are not.
func TestZeroBandHoldsAFlickerOfTheLastDigit(t *testing.T) {
	m := readBy(200, func(k int) float64 { return 0.01 * float64(k%2) })
	assert.Greater(t, m.zeroBand(), 0.01)
	quiet := readBy(200, func(k int) float64 { return 0.01 * float64(k/20%2) })
	assert.InDelta(t, 0.015, quiet.zeroBand(), 1e-6)
}
