package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// drawn is a trace of rows so many seconds apart; what had flowed by each row is the
// current's own sum.
func drawn(rows int, every float64, volts, amps func(t float64) float64) *trace {
	var tr trace
	var sum totals
	for k := range rows {
		t := float64(k) * every
		if k > 0 {
			q := (amps(t-every) + amps(t)) / 2 * every
			sum = sum.plus(totals{in: q, energy: q * volts(t), onTime: every})
		}
		m := mark{row: row{t: t, v: volts(t), i: amps(t), celsius: 20 + t/10000}, sum: sum}
		tr.add(&m)
	}
	return &tr
}

func flat(x float64) func(float64) float64 { return func(float64) float64 { return x } }

// However long a charge is, its trace stays bounded, loses no row, keeps its order and
// lasts as long as the charge.
func TestTraceIsBoundedAndLosesNothing(t *testing.T) {
	for _, every := range []float64{0.1, 1, 7, 60, 600} {
		for _, rows := range []int{1, 2, 2047, 2048, 2049, 30000} {
			tr := drawn(rows, every, flat(13), flat(5))
			require.LessOrEqual(t, len(tr.bins), traceBins)
			if rows > 2*traceBins {
				assert.GreaterOrEqual(t, len(tr.bins), traceBins/3, "%d rows every %g s", rows, every)
			}
			v, i, n := tr.mean(0, len(tr.bins))
			assert.Equal(t, float64(rows), n)
			assert.InDelta(t, 13, v, 1e-9)
			assert.InDelta(t, 5, i, 1e-9)
			last := math.Inf(-1)
			for k := range tr.bins {
				b := &tr.bins[k]
				require.Greater(t, b.t0, last)
				require.GreaterOrEqual(t, b.t1, b.t0)
				require.LessOrEqual(t, b.t1-b.t0, tr.width)
				last = b.t1
			}
			assert.Equal(t, float64(rows-1)*every, last)
		}
	}
}

// What had flowed by any moment is read off without error where the current is steady,
// and within a bin's curvature where it falls.
func TestChargeOfAnyMomentIsReadOff(t *testing.T) {
	tr := drawn(20000, 2, flat(14), flat(5))
	for _, at := range []float64{0, 1, 777, 20001, 39998, 50000} {
		assert.InDelta(t, 5*min(at, 39998), tr.sumAt(at).in, 1e-6, "at %g s", at)
		assert.InDelta(t, 14*5*min(at, 39998), tr.sumAt(at).energy, 1e-5)
	}
	var empty trace
	assert.Equal(t, totals{}, empty.sumAt(5))

	fall := drawn(20000, 2, flat(14), func(t float64) float64 { return 5 * math.Exp(-t/3600) })
	for _, at := range []float64{1000, 5000, 30000} {
		assert.InDelta(t, 5*3600*(1-math.Exp(-at/3600)), fall.sumAt(at).in, 1)
	}
}

func TestBinsAreFoundByTime(t *testing.T) {
	tr := drawn(100, 10, flat(13), flat(5))
	assert.Equal(t, 0, tr.index(-5))
	assert.Equal(t, 0, tr.index(9.9))
	assert.Equal(t, 1, tr.index(10))
	assert.Equal(t, 99, tr.index(1e9))
	assert.Equal(t, 10.0, tr.next(9.9))
	assert.Equal(t, 20.0, tr.next(10))
	assert.Equal(t, 990.0, tr.next(990), "none after the last")
	assert.False(t, Known(tr.next(Unknown())))
	assert.Equal(t, 2, firstBinAfter(tr, 11))
	assert.Equal(t, 100, firstBinAfter(tr, 1e9))
}

// The shortest stretch at the end with at least so many rows and seconds.
func TestTailEndHoldsEnoughRowsAndSeconds(t *testing.T) {
	tr := drawn(100, 10, flat(13), flat(5))
	assert.Equal(t, 99, tr.tailEnd(100, 1, 0))
	assert.Equal(t, 97, tr.tailEnd(100, 3, 0))
	assert.Equal(t, 96, tr.tailEnd(100, 1, 30))
	assert.Equal(t, 0, tr.tailEnd(100, 1e6, 0), "all there is")

	var uneven trace
	at := 0.0
	for k := range 20000 {
		at += 0.3 + float64(k%7)*float64(k%11)*float64(k%13)/50
		uneven.add(&mark{row: row{t: at, v: 13, i: 5}})
	}
	for to := 1; to < len(uneven.bins); to += 17 {
		for _, rows := range []float64{1, 4, 64} {
			for _, seconds := range []float64{0, 0.1, 60, 300, 1e9} {
				k, n := to, 0.0
				for k > 0 && (n < rows || uneven.bins[to-1].t1-uneven.bins[k].t0 < seconds) {
					k--
					n += uneven.bins[k].rows
				}
				require.Equal(t, k, uneven.tailEnd(to, rows, seconds), "%g rows and %g s before bin %d", rows, seconds, to)
			}
		}
	}
}

// How many rows lie between two bins is what each of them holds, also after bins have become one.
func TestRowsBetweenBins(t *testing.T) {
	tr := drawn(30000, 1.7, flat(13), flat(5))
	for from := 0; from < len(tr.bins); from += 50 {
		n := 0.0
		for to := from; to < len(tr.bins); to++ {
			require.Equal(t, n, tr.rows(from, to))
			n += tr.bins[to].rows
		}
	}
}

func TestMeanOfNoBinsIsUnknown(t *testing.T) {
	var tr trace
	v, i, rows := tr.mean(0, 0)
	assert.False(t, Known(v) || Known(i))
	assert.Zero(t, rows)
	assert.False(t, Known(tailCurrent(&tr)))
}

func TestHighestCurrentAndVoltageSurviveHalving(t *testing.T) {
	tr := drawn(30000, 1, func(t float64) float64 {
		if t == 12345 {
			return 15
		}
		return 13
	}, func(t float64) float64 { return 1 + t/30000 })
	most := 0.0
	for _, b := range tr.bins {
		most = max(most, b.maxV)
	}
	assert.Equal(t, 15.0, most)
	assert.InDelta(t, 2, tr.highest(), 0.01)
	assert.InDelta(t, 22.9999, tr.bins[len(tr.bins)-1].celsius, 1e-9, "the last one known")
}

func TestCloneOfATraceGoesItsOwnWay(t *testing.T) {
	tr := drawn(100, 10, flat(13), flat(5))
	c := tr.clone()
	m := mark{row: row{t: 990, v: 99, i: 99}}
	tr.add(&m)
	assert.Equal(t, 13.0, c.bins[99].v())
}
