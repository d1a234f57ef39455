package decoders

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// truth is a battery whose voltage and current are straight lines, so that a
// straight line between two readings is right.
func truth(t float64) (volts, amps float64) { return 12 + t/1000, 5 - t/2000 }

// twoMeters reads the truth with two meters of their own beats and phases for so
// many seconds, but for the times when one is away.
func twoMeters(m *Merge, everyVolts, everyAmps, seconds float64, away func(volts bool, t float64) bool) (got []Merged) {
	v, a := 0.3, 0.7
	for v < seconds || a < seconds {
		if v <= a {
			volts, _ := truth(v)
			if !away(true, v) {
				got = append(got, m.Volts(analyze.Sample{At: v, Volts: volts, Amps: math.NaN(), Celsius: 20, Counter: math.NaN()})...)
			}
			v += everyVolts
			continue
		}
		_, amps := truth(a)
		if !away(false, a) {
			got = append(got, m.Amps(analyze.Sample{At: a, Volts: math.NaN(), Amps: amps, Celsius: math.NaN(), Counter: 7})...)
		}
		a += everyAmps
	}
	return got
}

func never(bool, float64) bool { return false }

// TestMergeFollowsTheSlowerMeter: whichever it is, its moments are kept, and the
// other is right at them.
func TestMergeFollowsTheSlowerMeter(t *testing.T) {
	for name, c := range map[string]struct {
		volts, amps float64
		skew        float64
	}{
		"volts slower": {10, 1, 0.5}, "amps slower": {0.9, 7, 0.45}, "alike": {1, 1, 0.5}, "nearly alike": {1.01, 1, 0.51}, "volts a little slower": {1.5, 1.1, 0.55},
	} {
		t.Run(name, func(t *testing.T) {
			got := twoMeters(NewMerge(2), c.volts, c.amps, 1000, never)
			every := max(c.volts, c.amps)
			assert.InDelta(t, 1000/every, len(got), 12, "a sample for each of the slower one's")
			alone := 0
			last := math.Inf(-1)
			for _, g := range got {
				require.Greater(t, g.Sample.At, last)
				last = g.Sample.At
				if g.Err != nil {
					alone++
					continue
				}
				volts, amps := truth(g.Sample.At)
				assert.InDelta(t, volts, g.Sample.Volts, 1e-9)
				assert.InDelta(t, amps, g.Sample.Amps, 1e-9)
				assert.Equal(t, 20.0, g.Sample.Celsius)
				assert.Equal(t, 7.0, g.Sample.Counter)
				assert.GreaterOrEqual(t, g.Sample.Skew, 0.0)
				assert.LessOrEqual(t, g.Sample.Skew, c.skew+1e-9)
			}
			assert.LessOrEqual(t, alone, 12, "while it is not known yet which is the slower one")
		})
	}
}

// TestMergeOfSlowMeters: their readings lie farther apart than the limit, but there is
// one within it. The nearer one is taken as it is; where there is none, none is made up.
func TestMergeOfSlowMeters(t *testing.T) {
	for name, c := range map[string]struct{ volts, amps, limit, skew float64 }{
		"at the limit": {5, 5, 5, 0.4}, "beyond it": {10, 10, 5, 0.4}, "a row a minute": {60, 60, 5, 0.4},
		"volts slower": {20, 8, 5, 4}, "amps slower": {8, 20, 5, 4},
	} {
		t.Run(name, func(t *testing.T) {
			used := 0
			for _, g := range twoMeters(NewMerge(c.limit), c.volts, c.amps, 6000, never) {
				if g.Err != nil {
					continue
				}
				used++
				volts, amps := truth(g.Sample.At)
				assert.InDelta(t, volts, g.Sample.Volts, c.skew/1000+1e-9)
				assert.InDelta(t, amps, g.Sample.Amps, c.skew/2000+1e-9)
				assert.LessOrEqual(t, g.Sample.Skew, c.skew+1e-9)
			}
			assert.GreaterOrEqual(t, used, int(6000/max(c.volts, c.amps))-2)
		})
	}
	for _, g := range twoMeters(NewMerge(0.3), 10, 10, 1000, never) {
		assert.Equal(t, ErrAlone, g.Err)
	}
}

// TestMergeDoesNotBridgeAGap: while the faster meter is away the slower one's
// readings are refused, and none between is made up.
func TestMergeDoesNotBridgeAGap(t *testing.T) {
	got := twoMeters(NewMerge(2), 1, 5, 1000, func(volts bool, t float64) bool { return volts && t > 400 && t < 500 })
	refused := 0
	for _, g := range got {
		if g.Sample.At > 402 && g.Sample.At < 498 {
			assert.Equal(t, ErrAlone, g.Err, g.Sample.At)
			refused++
		}
		if g.Err == nil {
			assert.LessOrEqual(t, g.Sample.Skew, 2.0)
		}
	}
	assert.Equal(t, 19, refused)

	got = twoMeters(NewMerge(2), 1, 5, 1000, func(volts bool, t float64) bool { return !volts && t > 400 && t < 500 })
	for _, g := range got {
		assert.False(t, g.Sample.At > 400 && g.Sample.At < 500, "the slower one was away: %v", g.Sample.At)
	}
}

// TestMergeDoesNotBridgeALoss: a line opened anew begins anew, however short the
// time.
func TestMergeDoesNotBridgeALoss(t *testing.T) {
	m := NewMerge(5)
	sample := func(at float64) analyze.Sample { return analyze.Sample{At: at, Volts: 12, Amps: 3} }
	assert.Empty(t, m.Volts(sample(0)))
	assert.Empty(t, m.Amps(sample(1)))
	assert.Equal(t, []Merged{{sample(1), ErrAlone}}, m.Lost(true))
	assert.Empty(t, m.Volts(sample(2)))
	assert.Empty(t, m.Amps(sample(3)))
	assert.Empty(t, m.Lost(false), "the current that waits was measured before that")
	got := m.Volts(sample(4))
	require.Len(t, got, 1)
	assert.NoError(t, got[0].Err)
	assert.Equal(t, 1.0, got[0].Sample.Skew)
}

// TestMergeIsBounded: one meter talks on alone.
func TestMergeIsBounded(t *testing.T) {
	m := NewMerge(3600)
	m.Volts(analyze.Sample{At: 0, Volts: 12})
	n := 0
	for k := range 1000 {
		n += len(m.Amps(analyze.Sample{At: float64(k), Amps: 3}))
	}
	assert.Equal(t, 1000-waitingMost, n)
}
