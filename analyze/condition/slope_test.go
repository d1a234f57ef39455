package condition

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLineThroughAnExactLine(t *testing.T) {
	x, y := make([]float64, 30), make([]float64, 30)
	for k := range x {
		x[k], y[k] = float64(k), 5+0.3*float64(k)
	}
	y[7], y[20], y[29] = 900, -40, 1e6
	l, ok := through(x, y)
	require.True(t, ok)
	assert.InDelta(t, 0.3, l.slope, 1e-9, "three wild points of thirty move nothing")
	assert.True(t, l.low <= 0.3+1e-9 && 0.3-1e-9 <= l.high)
}

// Kendall's variance for ten points without ties, n(n-1)(2n+5)/18, is 125; with
// ties it is less (Kendall, Rank Correlation Methods; the formula from memory).
func TestKendallVariance(t *testing.T) {
	assert.InDelta(t, 125, kendallVariance([]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}), 1e-9)
	assert.InDelta(t, 125-1, kendallVariance([]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 9}), 1e-9)
}

func TestIntervalOfIndependentScatter(t *testing.T) {
	inside := 0
	const runs = 1000
	for seed := range uint64(runs) {
		r := rand.New(rand.NewPCG(seed, 9))
		var x, y []float64
		for range 25 {
			at := r.Float64() * 10
			x, y = append(x, at), append(y, 3+0.2*at+r.NormFloat64())
		}
		if l, ok := through(x, y); ok && l.low <= 0.2 && 0.2 <= l.high {
			inside++
		}
	}
	assert.InDelta(t, 0.95, float64(inside)/runs, 0.02)
}

// Deviations that follow each other would make a naive interval far too sure.
func TestIntervalOfScatterThatFollowsItself(t *testing.T) {
	inside := 0
	const runs = 500
	for seed := range uint64(runs) {
		r := rand.New(rand.NewPCG(seed, 10))
		var x, y []float64
		d := 0.0
		for k := range 100 {
			d = 0.6*d + r.NormFloat64()
			x, y = append(x, float64(k)), append(y, d)
		}
		if l, _ := through(x, y); l.low <= 0 && 0 <= l.high {
			inside++
		}
	}
	t.Logf("%d of %d", inside, runs)
	assert.Greater(t, float64(inside)/runs, 0.88)
}

func TestLongHistoriesAreCondensed(t *testing.T) {
	x, y := make([]float64, 20_000), make([]float64, 20_000)
	for k := range x {
		x[k], y[k] = float64(k), 2*float64(k)
	}
	cx, _ := condensed(x, y)
	assert.LessOrEqual(t, len(cx), mostPoints)
	l, ok := through(x, y)
	assert.True(t, ok)
	assert.InDelta(t, 2, l.slope, 1e-9)
}

func TestNoLineThroughOneMoment(t *testing.T) {
	_, ok := through(make([]float64, 50), make([]float64, 50))
	assert.False(t, ok)
	_, ok = through(nil, nil)
	assert.False(t, ok)
	assert.True(t, math.IsNaN(median(nil)))
}

// Between the least and the most of six lies the median with 1 - 2/2^6 = 97 %.
func TestMedianInterval(t *testing.T) {
	low, high := medianInterval([]float64{1, 2, 3, 4, 5, 6})
	assert.Equal(t, [2]float64{1, 6}, [2]float64{low, high})
	low, high = medianInterval([]float64{1, 2, 3})
	assert.Equal(t, [2]float64{1, 3}, [2]float64{low, high})
	// Of ten, the 2nd and 9th: 1 - 2*(1+10)/1024 = 97.9 % (tables of order statistics).
	low, high = medianInterval([]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10})
	assert.Equal(t, [2]float64{2, 9}, [2]float64{low, high})
}
