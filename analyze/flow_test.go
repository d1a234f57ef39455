package analyze

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// change is when a flow was seen to begin or end, and to which row that is dated.
type change struct {
	on       bool
	row, saw int
}

// flows is what a flow says of currents row after row. The meter's noise is known
// from an hour without current before.
func flows(amps []float64, noise float64) (list []change) {
	f := flow{share: 0.004}
	var m meter
	for _, i := range noisy(then(nil, 360, 0), noise, 99) {
		m.push(i)
	}
	var before mark
	for k, i := range amps {
		m.push(i)
		now := mark{row: row{t: float64(k), i: i}}
		if at := f.push(i, &before, &now, &m); at != nil {
			list = append(list, change{f.on, int(at.t), k})
		}
		before = now
	}
	return list
}

// then is a piece of currents: n rows of x.
func then(amps []float64, n int, x float64) []float64 {
	for range n {
		amps = append(amps, x)
	}
	return amps
}

func noisy(amps []float64, s float64, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 11))
	for k := range amps {
		amps[k] += s * r.NormFloat64()
	}
	return amps
}

func TestCurrentIsDatedToItsFirstAndLastRow(t *testing.T) {
	amps := then(then(then(nil, 20, 0), 30, 5), 20, 0)
	assert.Equal(t, []change{{true, 20, 21}, {false, 49, 51}}, flows(amps, 0), "seen within two rows")
}

func TestOneOddRowTurnsNothing(t *testing.T) {
	amps := then(nil, 100, 5)
	amps[50] = 0
	assert.Equal(t, []change{{true, 0, 1}}, flows(amps, 0))
	amps = then(nil, 100, 0)
	amps[50] = 5
	assert.Empty(t, flows(amps, 0))
}

// A falling current goes on flowing far below half of what it was: a charger that steps
// down has not stopped.
func TestStepDownIsNoStop(t *testing.T) {
	amps := noisy(then(then(then(nil, 20, 0), 100, 10), 100, 0.2), 0.001, 1)
	assert.Equal(t, []change{{true, 20, 21}}, flows(amps, 0.001))
}

// 0.1 A under 20 mA of noise begins and ends near where it did, however long it takes
// to be sure of it.
func TestSmallCurrentIsSeenUnderNoise(t *testing.T) {
	for seed := range uint64(20) {
		list := flows(noisy(then(then(then(nil, 200, 0), 300, 0.1), 200, 0), 0.020, seed), 0.020)
		if assert.Len(t, list, 2, "seed %d: %v", seed, list) {
			assert.InDelta(t, 200, list[0].row, 8)
			assert.InDelta(t, 499, list[1].row, 8)
		}
	}
}

func TestNoiseIsNoCurrent(t *testing.T) {
	for seed := range uint64(20) {
		assert.Empty(t, flows(noisy(then(nil, 2000, 0), 0.020, seed), 0.020), "seed %d", seed)
	}
}

// What flowed first was the meter's zero: beside the current that comes, it is nothing.
func TestLargeCurrentDwarfsAZeroThatIsNot(t *testing.T) {
	amps := then(then(nil, 50, 0.05), 50, 5)
	assert.Equal(t, []change{{true, 0, 1}, {true, 50, 51}}, flows(amps, 0), "begun anew with the first large row")
	amps[60] = 0.05
	assert.Equal(t, []change{{true, 0, 1}, {true, 50, 51}}, flows(amps, 0))
}

// So is it if a charger starts softly, or a row shows some of both: the zero has not become a current by that.
func TestACurrentOnItsWayUpDwarfsAZeroToo(t *testing.T) {
	for _, way := range [][]float64{{0.6}, {0.2, 0.8}, {0.3, 0.5, 0.9, 0.9}} {
		amps := then(append(then(nil, 50, 0.05), way...), 50, 5)
		full := 50 + len(way)
		assert.Equal(t, []change{{true, 0, 1}, {true, full, full + 1}}, flows(amps, 0), "%v", way)
	}
	amps := then(then(then(nil, 50, 0.05), 50, 0.6), 50, 5)
	assert.Equal(t, []change{{true, 0, 1}}, flows(amps, 0), "what lasts is a current")
}

// sawZero is what a flow says, having seen the meter's zero before.
func sawZero(amps []float64, zero float64) (last flow) {
	f := flow{share: 0.004, rested: zero, seen: true}
	var m meter
	var before mark
	for k, i := range amps {
		m.push(i)
		now := mark{row: row{t: float64(k), i: i}}
		if f.push(i, &before, &now, &m) != nil && !f.on {
			f.zeroed(i, &m)
		}
		before = now
	}
	return f
}

// A float of 0.9 % of the charge's current and the zero of a poor meter look alike, unless
// the zero was seen before the charge.
func TestZeroThatWasSeenTellsAFloatFromNone(t *testing.T) {
	stepped := func(rest float64) []float64 { return then(then(nil, 60, 11), 60, rest) }
	assert.True(t, sawZero(stepped(0.1), 0).on, "a float")
	assert.False(t, sawZero(stepped(0.1), 0.1).on, "the zero from before")
	assert.False(t, sawZero(stepped(0.02), 0).on, "no more than a zero moves")
	assert.False(t, sawZero(stepped(0.2), 0.2).on, "however far it is off")
	assert.True(t, sawZero(stepped(0.5), 0.2).on)
}
