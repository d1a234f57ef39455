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
	return findHold(tr, 0, volts, amps)
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
		{"a voltage that hardly rises, with a current that falls along its source's line", func(t float64) float64 { return 13 + t*4e-6 }, func(t float64) float64 { return 5 * (13.8 - 13 - t*4e-6) / 0.8 }},
		{"nothing but zero volts", flat(0), func(t float64) float64 { return 5 - t/5000 }},
	} {
		assert.False(t, holdIn(drawn(1200, 10, c.volts, c.amps)).found, c.name)
	}
	assert.False(t, holdIn(drawn(4, 10, flat(14.4), func(t float64) float64 { return 5 - t/10 })).found, "four rows")
	assert.False(t, holdIn(drawn(200, 0.1, flat(14.4), func(t float64) float64 { return 5 - t/10 })).found, "20 s")
}

// What a coarse voltmeter hides may be a rise: the current must then fall by more.
func TestACoarseVoltmeterHidesARise(t *testing.T) {
	for fall, want := range map[float64]bool{0.06: false, 0.25: true} {
		volts := func(t float64) float64 { return min(12+0.1*math.Floor(t/900), 13) }
		tr := drawn(1200, 10, volts, func(t float64) float64 { return 5 - 5*fall*max(t-9000, 0)/3000 })
		assert.Equal(t, want, holdIn(tr).found, "a fall by %g", fall)
	}
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
	q, _, fewest := quarters(tr, 0, 400)
	assert.Equal(t, [4]float64{4, 3, 2, 1}, q)
	assert.Equal(t, 100.0, fewest)
}

// A source that fades leaves the battery below what it had come to: no limit. What was
// above for a moment only was a charger that overshot.
func TestWhatThePastSaysOfALimit(t *testing.T) {
	_, amps := limited(13.2, 9000, 5, 3600)
	for above, want := range map[float64]bool{6000: false, 600: true} {
		volts := func(t float64) float64 {
			if t >= 9000-above && t < 9000 {
				return 13.4
			}
			return 13.2 - max(9000-above-t, 0)*1e-4
		}
		assert.Equal(t, want, holdIn(drawn(1200, 10, volts, amps)).found, "%g s above", above)
	}
}

// Where the current is back and the voltage goes on to rise there was no limit, unless it
// had been held for so long that something must have failed since.
func TestAHoldIsTakenBackWhereTheCurrentIsBack(t *testing.T) {
	for minutes, want := range map[float64]bool{15: true, 90: false} {
		end := 9000 + minutes*60
		volts := func(t float64) float64 { return 14 - max(9000-t, 0)*1e-4 + max(t-end, 0)*4e-4 }
		amps := func(t float64) float64 {
			if t < end {
				return 5 * math.Exp(-max(t-9000, 0)/1800)
			}
			return 5
		}
		h := hold{}
		for n := 900; n < int(end+1200)/10; n += 6 {
			tr := drawn(n, 10, volts, amps)
			if !h.found {
				h = holdIn(tr)
			} else if h.disproved(tr) {
				h.found = false
				break
			}
		}
		assert.Equal(t, want, !h.found, "held for %g min", minutes)
	}
}

// An unregulated source fades as the voltage rises and wanders with the mains; on a plateau
// that looks like the beginning of a taper, for as long as the plateau lasts.
func TestAHoldIsTakenBackWhereTheSourceWandered(t *testing.T) {
	wandered := func(t float64) float64 { return 5 - 0.4*math.Sin(max(t-6000, 0)*math.Pi/8000) }
	faded := func(t float64) float64 { return 5 - max(t-6000, 0)*1e-4 }
	tapered := func(t float64) float64 { return 5 * math.Exp(-max(t-6000, 0)/5000) }
	plateau := func(t float64) float64 { return 13.3 - max(6000-t, 0)*1e-4 }
	climbing := func(t float64) float64 { return plateau(t) + max(t-12000, 0)*2e-4 }
	for _, c := range []struct {
		name        string
		volts, amps func(float64) float64
		want        bool
	}{
		{"the current is back", plateau, wandered, true},
		{"the voltage climbs, the current fades on", climbing, faded, true},
		{"a taper goes on", plateau, tapered, false},
		{"a taper ends with a second, higher limit", climbing, tapered, false},
	} {
		h := holdIn(drawn(1000, 10, c.volts, c.amps))
		require.True(t, h.found, c.name)
		taken := false
		for n := 1006; n <= 1500 && !taken; n += 6 {
			taken = h.disproved(drawn(n, 10, c.volts, c.amps))
		}
		assert.Equal(t, c.want, taken, c.name)
	}
}
