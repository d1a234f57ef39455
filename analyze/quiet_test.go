package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// rested is what quiet makes of hours at a current that seems to be none.
func rested(hours, every float64, amps func(k int) float64, noise, step float64) (sum totals) {
	var q quiet
	for k := range int(hours * 3600 / every) {
		iv := interval{a: &row{t: float64(k) * every, v: 12, i: amps(k)}, b: &row{t: float64(k+1) * every, v: 12, i: amps(k + 1)}, dt: every}
		if q.add(&iv) {
			sum = sum.plus(q.take(noise, step, 0))
		}
	}
	return sum.plus(q.take(noise, step, 0))
}

func TestFlickerOfADigitAveragesToNothing(t *testing.T) {
	flicker := func(k int) float64 { return 0.01 * float64(k%2) }
	assert.Equal(t, totals{}, rested(48, 10, flicker, 0, 0.01))
}

func TestNoiseAveragesToNothing(t *testing.T) {
	noise := noisy(make([]float64, 48*360+2), 0.02, 7)
	sum := rested(48, 10, func(k int) float64 { return noise[k] }, 0.02, 0.001)
	// A block of 512 rows counts only beyond three standard deviations: one in 370.
	assert.Less(t, ampHours(sum.in+sum.out), 0.01)
}

// A drain of 15 mA under 20 mA of noise is 0.72 Ah in 48 h; 3 mA in, the same way.
func TestSmallSteadyDrainShows(t *testing.T) {
	noise := noisy(make([]float64, 48*360+2), 0.02, 8)
	sum := rested(48, 10, func(k int) float64 { return noise[k] - 0.015 }, 0.02, 0.001)
	assert.InEpsilon(t, 0.72, ampHours(sum.out), 0.02)
	assert.Zero(t, sum.in)
	assert.Zero(t, sum.energy)
	sum = rested(48, 10, func(k int) float64 { return 0.003 }, 0, 0.001)
	assert.InEpsilon(t, 0.003*48, ampHours(sum.in), 1e-6)
	assert.InEpsilon(t, 0.003*48*12, sum.energy/3600, 1e-6)
}

// A meter that shows 17 mA without current shows no charge; one that shows 40 mA does.
func TestAZeroThatIsOffIsNoCharge(t *testing.T) {
	of := func(amps float64) totals {
		q := quiet{charge: amps * 3600, seconds: 3600, rows: 360}
		return q.take(0.01, 0.01, 0.017)
	}
	assert.Zero(t, of(0.018).in)
	assert.InEpsilon(t, 144, of(0.040).in, 1e-9)
	assert.InEpsilon(t, 144, of(-0.040).out, 1e-9)
}

func TestNothingSeenIsNothing(t *testing.T) {
	var q quiet
	assert.Equal(t, totals{}, q.take(0, 0, 0))
}
