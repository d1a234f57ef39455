package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// intervals are those between rows at the given times, as the window hands them out.
func intervals(times ...float64) (list []interval) {
	var w window
	var iv interval
	keep := func(iv interval) {
		a, b := *iv.a, *iv.b // the window keeps them for some rows only
		iv.a, iv.b = &a, &b
		list = append(list, iv)
	}
	for _, t := range times {
		w.next().t = t
		if w.ready() {
			w.take(&iv)
			keep(iv)
		}
	}
	for w.flush(&iv) {
		keep(iv)
	}
	return list
}

func TestEveryIntervalIsHandedOutOnceInOrder(t *testing.T) {
	for n := range 20 {
		var times []float64
		for k := range n {
			times = append(times, float64(k*k)) // ever slower
		}
		list := intervals(times...)
		require.Len(t, list, max(n-1, 0))
		for k, iv := range list {
			assert.Equal(t, times[k], iv.a.t)
			assert.Equal(t, times[k+1], iv.b.t)
			assert.Equal(t, times[k+1]-times[k], iv.dt)
			if k > 0 {
				assert.Equal(t, list[k-1].dt, iv.before)
			}
		}
	}
}

// The usual interval is the lower median of five: two before, itself, two after.
func TestUsualIntervalLooksBothWays(t *testing.T) {
	list := intervals(0, 10, 20, 120, 130, 140)
	assert.Equal(t, 10.0, list[2].usual)
	list = intervals(0, 10, 20, 120, 220, 320, 420)
	assert.Equal(t, 100.0, list[3].usual, "10, 100, 100, 100, 100")
	assert.Equal(t, 10.0, list[1].usual, "10, 10, 100, 100")
}

// A gap is longer than ten usual intervals and than 30 s.
func TestGapsAreLongBesideTheIntervalsAround(t *testing.T) {
	for _, c := range []struct {
		name  string
		times []float64
		gap   []bool
	}{
		{"ten intervals of 10 s are none", []float64{0, 10, 20, 120, 130, 140}, []bool{false, false, false, false, false}},
		{"more than ten are one", []float64{0, 10, 20, 121, 131, 141}, []bool{false, false, true, false, false}},
		{"30 s of a row a second are none", []float64{0, 1, 2, 32, 33, 34}, []bool{false, false, false, false, false}},
		{"31 s are", []float64{0, 1, 2, 33, 34, 35}, []bool{false, false, true, false, false}},
		{"a log that slows down has none", []float64{0, 1, 2, 3, 603, 1203, 1803, 2403}, []bool{false, false, false, false, false, false, false}},
	} {
		var got []bool
		for _, iv := range intervals(c.times...) {
			got = append(got, iv.gap)
		}
		assert.Equal(t, c.gap, got, c.name)
	}
}

// A row off the beat was written because of something; with fewer than three other
// intervals there is no beat to be off.
func TestRowsOffTheBeatAreNoticed(t *testing.T) {
	list := intervals(0, 60, 120, 180, 200, 260, 320)
	for k, iv := range list {
		assert.Equal(t, k == 3, iv.bEarly, "interval %d ends early", k)
		assert.Equal(t, k == 4, iv.aEarly, "interval %d begins early", k)
	}
	for _, iv := range intervals(0, 3.6, 7.7, 21.3) {
		assert.False(t, iv.aEarly || iv.bEarly, "four rows have no beat")
	}
	for _, iv := range intervals(0, 60, 119.5, 180, 240, 299.4, 360) {
		assert.False(t, iv.aEarly || iv.bEarly, "a logger's own unsteadiness")
	}
}
