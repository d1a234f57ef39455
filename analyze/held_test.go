package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// metersOf learns a trace's meters from its bins.
func metersOf(tr *trace) (volts, amps *meter) {
	volts, amps = new(meter), new(meter)
	for k := range tr.bins {
		volts.push(tr.bins[k].v())
		amps.push(tr.bins[k].i())
	}
	return volts, amps
}

func holdIn(tr *trace) hold {
	volts, amps := metersOf(tr)
	return findHold(tr, volts, amps)
}

// A charge that reaches its limit at a moment, and whose current fades from there.
func limited(limit, at, amps, tau float64) (volts, current func(float64) float64) {
	volts = func(t float64) float64 { return limit - max(at-t, 0)*1e-4 }
	current = func(t float64) float64 { return amps * math.Exp(-max(t-at, 0)/tau) }
	return volts, current
}

func TestHeldVoltageWithAFallingCurrentIsAHold(t *testing.T) {
	volts, amps := limited(14.4, 10000, 5, 3600)
	h := holdIn(drawn(1200, 10, volts, amps))
	require.True(t, h.found)
	assert.InDelta(t, 14.4, h.volts, 1e-6)
	assert.InDelta(t, 10000, h.from, 14.4*heldSlack/1e-4+20, "as early as the voltage was within the slack")
	assert.Less(t, h.last, h.first)
	assert.InDelta(t, 11980, h.seen, 1e-9, "the last bin is still open")
}

func TestWhatIsNoHold(t *testing.T) {
	steady := flat(5.0)
	for _, c := range []struct {
		name        string
		volts, amps func(float64) float64
	}{
		{"a voltage that stands while the current does: a plateau", flat(13.3), steady},
		{"a voltage that rises while the current falls: limited power", func(t float64) float64 { return 12 + t/5000 }, func(t float64) float64 { return 60 / (12 + t/5000) }},
		{"a voltage that rises at a steady current", func(t float64) float64 { return 12 + t/5000 }, steady},
		{"a current that drops once and the voltage not: a charger that throttles", flat(13.3), func(t float64) float64 {
			if t < 11000 {
				return 5
			}
			return 3
		}},
		{"nothing but zero volts", flat(0), func(t float64) float64 { return 5 - t/5000 }},
	} {
		assert.False(t, holdIn(drawn(1200, 10, c.volts, c.amps)).found, c.name)
	}
	assert.False(t, holdIn(drawn(4, 10, flat(14.4), func(t float64) float64 { return 5 - t/10 })).found, "four rows")
	assert.False(t, holdIn(drawn(200, 0.1, flat(14.4), func(t float64) float64 { return 5 - t/10 })).found, "20 s")
}

// Two odd bins (a pause, a spike) in the midst do not end the stretch.
func TestStrayBinsDoNotEndAHold(t *testing.T) {
	volts, amps := limited(14.4, 6000, 5, 3600)
	odd := func(t float64) float64 {
		if t == 9000 || t == 9010 {
			return 13
		}
		return volts(t)
	}
	h := holdIn(drawn(1200, 10, odd, amps))
	require.True(t, h.found)
	assert.Less(t, h.from, 6100.0)
}

func TestQuartersShareTheBins(t *testing.T) {
	tr := drawn(400, 10, flat(14.4), func(t float64) float64 { return 4 - math.Floor(t/1000) })
	q, fewest := quarters(tr, 0, 400)
	assert.Equal(t, [4]float64{4, 3, 2, 1}, q)
	assert.Equal(t, 100.0, fewest)
}
