package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func bendIn(t *testing.T, tr *trace) bend {
	t.Helper()
	volts, amps := metersOf(tr)
	h := findHold(tr, 0, volts, amps)
	require.True(t, h.found)
	return findBend(tr, &h, h.volts, volts, amps, &bendFit{})
}

// The curves bend at a moment known: the voltage rises 0.1 mV/s and then stands, the
// current stands and then falls. It is found within a row.
func TestBendIsFoundWhereBothCurvesBend(t *testing.T) {
	for _, every := range []float64{1, 5, 10, 60} {
		for _, at := range []float64{4000, 7003, 9999} {
			volts, amps := limited(14.4, at, 5, 3600)
			b := bendIn(t, drawn(int((at+5000)/every), every, volts, amps))
			assert.InDelta(t, at, b.at, every+1, "every %g s", every)
			assert.LessOrEqual(t, b.touch, b.at)
			assert.False(t, b.hunts)
		}
	}
}

func TestVoltageHeldFromTheFirstRowBendsThere(t *testing.T) {
	b := bendIn(t, drawn(600, 10, flat(14.4), func(t float64) float64 { return 5 * math.Exp(-t/3600) }))
	assert.Zero(t, b.at)
	assert.Zero(t, b.touch)
}

// A spike long before the limit is no touch of it.
func TestSpikeIsNoTouch(t *testing.T) {
	volts, amps := limited(14.4, 8000, 5, 3600)
	spiked := func(t float64) float64 {
		if t == 2000 {
			return 14.45
		}
		return volts(t) - 0.6*max(8000-t, 0)/8000
	}
	b := bendIn(t, drawn(1300, 10, spiked, amps))
	assert.InDelta(t, 8000, b.at, 20)
}

// A source that swings about its limit by a fifth of its current: any moment from the
// first touch on is as good as another, and the first is taken.
func TestHuntingSourceBendsAtTheFirstTouch(t *testing.T) {
	_, amps := limited(14.4, 8000, 5, 3600)
	volts := func(t float64) float64 { return 14.4 - 0.001*max(8000-t, 0) }
	swing := func(t float64) float64 {
		if t < 8000 {
			return amps(t)
		}
		return amps(t) * (1 + 0.2*math.Abs(math.Mod(t/40, 2)-1)) // up and down every 80 s
	}
	b := bendIn(t, drawn(1300, 10, volts, swing))
	assert.True(t, b.hunts)
	assert.Equal(t, b.touch, b.at)
}

// What the fits can draw leaves nothing; a wrong moment leaves much; with nothing
// before the join two columns are empty, which is no harm.
func TestFitLeavesNothingOfWhatItCanDraw(t *testing.T) {
	since := func(t, at float64) float64 { return max(t-at, 0) }
	rise := func(t float64) float64 { u := since(500, t); return 12 - 0.001*u - 1e-6*u*u }
	fall := func(t float64) float64 {
		return 5 - 0.0001*since(500, t) - 0.002*since(t, 500) - 0.03*math.Sqrt(since(t, 500))
	}
	j := newJoined(drawn(100, 10, rise, fall).bins, 0, 0)
	v, i := j.left(500)
	assert.InDelta(t, 0, v, 1e-12)
	assert.InDelta(t, 0, i, 1e-12)
	v, i = j.left(300)
	assert.Greater(t, v, 1e-6)
	assert.Greater(t, i, 1e-6)
	assert.Less(t, j.score(500), j.score(300))

	j = newJoined(drawn(100, 10, flat(12), flat(5)).bins, 1, 1)
	for _, at := range []float64{-5, 0, 500, 2000} {
		assert.InDelta(t, 0, j.score(at), 1e-9, "at %g", at)
	}
}

func TestLeastOfAFunctionIsTried(t *testing.T) {
	assert.InDelta(t, 3, leastOf(func(x float64) float64 { return (x - 3) * (x - 3) }, 0, 10, 100), 0.05)
	assert.Equal(t, 0.0, leastOf(func(x float64) float64 { return x }, 0, 10, 10))
}
