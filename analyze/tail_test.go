package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTailIsWhatWasSetElseWhatIsUsual(t *testing.T) {
	for _, c := range []struct {
		name      string
		o         Options
		chemistry Chemistry
		amps      float64 // after 10 Ah went in
		says      string
	}{
		{"nothing known", Options{}, "", 0.2, "the chemistry is not known"},
		{"lead-acid, no capacity", Options{}, LeadAGM, 0.2, "stands for the capacity"},
		{"lithium, no capacity", Options{}, LiIon, 0.5, "usual for li-ion"},
		{"lead-acid of 35 Ah", Options{Capacity: 35 * 3600}, LeadGel, 0.7, "2 % of 35 Ah"},
		{"lithium of 2 Ah", Options{Capacity: 2 * 3600}, LiFePO4, 0.1, "5 % of 2 Ah"},
		{"a current as set", Options{Capacity: 35 * 3600, Tail: Tail{Amps: 1.5}}, LeadAGM, 1.5, "1.5 A, as set"},
		{"a share as set", Options{Capacity: 35 * 3600, Tail: Tail{Fraction: 0.01}}, LeadAGM, 0.35, "1 % of 35 Ah, as set"},
		{"a share as set, no capacity", Options{Tail: Tail{Fraction: 0.1}}, LeadAGM, 1, "10 % of the charge so far"},
	} {
		l := newTailLimit(&c.o, c.chemistry)
		assert.InDelta(t, c.amps, l.at(10*3600), 1e-9, c.name)
		assert.Contains(t, l.why, c.says, c.name)
	}
}

func reachedIn(tr *trace, limit float64) (float64, bool) {
	_, amps := metersOf(tr)
	return reachedTail(tr, 0, len(tr.bins), &tailLimit{amps: limit}, totals{}, amps)
}

// 5 A exp(-t/1 h) passes 0.5 A after ln 10 hours.
func TestTailIsReadOffBetweenRows(t *testing.T) {
	fall := func(t float64) float64 { return 5 * math.Exp(-t/3600) }
	for _, every := range []float64{1, 10, 60} {
		at, ok := reachedIn(drawn(int(4*3600/every), every, flat(14.4), fall), 0.5)
		require.True(t, ok)
		assert.InDelta(t, math.Log(10)*3600, at, every+10)
	}
	_, ok := reachedIn(drawn(3600, 1, flat(14.4), fall), 0.5)
	assert.False(t, ok, "not yet")
	_, ok = reachedIn(drawn(1, 1, flat(14.4), flat(0)), 0.5)
	assert.False(t, ok, "of one row nothing is said")
}

// A dip in mid-charge does not count, however deep, since it does not last.
func TestDipIsNoTail(t *testing.T) {
	dipped := func(t float64) float64 {
		if t >= 3600 && t < 3660 {
			return 0.1
		}
		return 5 * math.Exp(-t/3600)
	}
	at, ok := reachedIn(drawn(1440, 10, flat(14.4), dipped), 0.5)
	require.True(t, ok)
	assert.InDelta(t, math.Log(10)*3600, at, 30)
}

func TestBelowTheTailFromTheFirstRow(t *testing.T) {
	at, ok := reachedIn(drawn(100, 10, flat(14.4), flat(0.1)), 0.5)
	require.True(t, ok)
	assert.Zero(t, at)
}

// Noise must be averaged so that it cannot feign a tail, but never for ever.
func TestNoiseIsAveragedBeforeATailIsBelieved(t *testing.T) {
	var quiet, loud meter
	for k := range 100 {
		quiet.push(0.0001 * float64(k%2))
		loud.push(0.3 * float64(k%2))
	}
	assert.Equal(t, 2.0, tailBlock(0.5, &quiet))
	assert.Equal(t, 64.0, tailBlock(0.05, &loud))
}

// LiFePO4 at its limit falls by a third from row to row; where no row shows the tail it may
// have been met between two of them. What falls slower, or not beyond the noise, has not.
func TestATaperMayEndBetweenTwoRows(t *testing.T) {
	for _, c := range []struct {
		name  string
		tau   float64
		limit float64
		want  bool
	}{
		{"within the next row", 150, 0.75, true},
		{"in the last row", 150, 1.05, true},
		{"later than the next row", 150, 0.5, false},
		{"a slow fall", 20000, 0.9, false},
	} {
		tr := drawn(11, 60, flat(3.6), func(t float64) float64 { return math.Exp((600 - t) / c.tau) })
		at, ok := ranOut(tr, 0, len(tr.bins), &tailLimit{amps: c.limit}, totals{}, new(meter))
		assert.Equal(t, c.want, ok, c.name)
		if ok {
			assert.InDelta(t, 600-c.tau*math.Log(c.limit), at, 1e-6, c.name)
		}
	}
	_, ok := ranOut(drawn(1, 60, flat(3.6), flat(1)), 0, 1, &tailLimit{amps: 0.9}, totals{}, new(meter))
	assert.False(t, ok, "a single row")
}
