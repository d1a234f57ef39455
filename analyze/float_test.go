package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// absorbed is a held 14.4 V with a fading current, and from a moment on what follows.
func absorbed(until float64, volts, amps float64) *trace {
	return drawn(2000, 10, func(t float64) float64 {
		if t < until {
			return 14.4
		}
		return volts
	}, func(t float64) float64 {
		if t < until {
			return 5 * math.Exp(-t/7200)
		}
		return amps
	})
}

func TestStepDownToALowerFedVoltageIsAFloat(t *testing.T) {
	tr := absorbed(15000, 13.6, 0.1)
	at, ok := steppedDown(tr, 0, len(tr.bins), 14.4, 0.036, 5, 0.3)
	require.True(t, ok)
	assert.InDelta(t, 15000, at, 10)
}

func TestWhatIsNoFloat(t *testing.T) {
	for name, tr := range map[string]*trace{
		"14.2 V after 14.4 is a drift":            absorbed(15000, 14.2, 0.1),
		"2 A of 5 is a charge that goes on":       absorbed(15000, 13.6, 2),
		"one minute is not for good":              absorbed(19940, 13.6, 0.1),
		"the voltage that is held is held":        absorbed(30000, 13.6, 0.1),
		"less than three rows, however far apart": drawn(2, 600, flat(13.6), flat(0.1)),
	} {
		_, ok := steppedDown(tr, 0, len(tr.bins), 14.4, 0.036, 5, 0.3)
		assert.False(t, ok, name)
	}
}

// A battery that is not yet full takes a good current from the float at first. It was the float from the
// beginning, though it looks like one only once that has gone.
func TestAFloatThatFillsABatteryBeganWithTheStepDown(t *testing.T) {
	tr := drawn(2000, 10, func(t float64) float64 {
		if t < 5000 {
			return 14.4
		}
		return 13.6
	}, func(t float64) float64 {
		if t < 5000 {
			return 5 * math.Exp(-t/7200)
		}
		return 2.4 * math.Exp(-(t-5000)/3600)
	})
	at, ok := steppedDown(tr, 0, len(tr.bins), 14.4, 0.036, 5, 0.3)
	require.True(t, ok)
	assert.InDelta(t, 5000, at, 10)
}

// A boost during the float lifts the voltage again; the first step down was the end.
func TestBoostDuringAFloatDoesNotPutOffTheEnd(t *testing.T) {
	tr := drawn(3000, 10, func(t float64) float64 {
		if t < 15000 || t >= 20000 && t < 21000 {
			return 14.4
		}
		return 13.6
	}, func(t float64) float64 {
		if t < 15000 {
			return 5 * math.Exp(-t/7200)
		}
		return 0.1
	})
	at, ok := steppedDown(tr, 0, len(tr.bins), 14.4, 0.036, 5, 0.3)
	require.True(t, ok)
	assert.InDelta(t, 15000, at, 10)
}

// A cloud over a panel takes current and voltage for some minutes, and the charge goes on.
func TestACloudInConstantVoltageIsNoFloat(t *testing.T) {
	cloudy := func(t float64) bool { return t > 5000 && t < 5400 }
	tr := drawn(3000, 10, func(t float64) float64 {
		switch {
		case cloudy(t):
			return 13.3
		case t < 20000:
			return 14.4
		}
		return 13.6
	}, func(t float64) float64 {
		switch {
		case cloudy(t):
			return 0.8
		case t < 20000:
			return 5 * math.Exp(-t/7200)
		}
		return 0.1
	})
	at, ok := steppedDown(tr, 0, len(tr.bins), 14.4, 0.036, 5, 0.3)
	require.True(t, ok)
	assert.InDelta(t, 20000, at, 10)
}

// Blocks of rows that average noise away must not reach across the step: its little current
// would make a tail of theirs.
func TestAStepDownIsNoTailOfTheNoiseBeforeIt(t *testing.T) {
	volts := func(t float64) float64 {
		if t > 12030 {
			return 13.6
		}
		return 14.4
	}
	amps := func(t float64) float64 {
		noise := 0.1 * math.Sin(t*t)
		if t > 12030 {
			return 0.05 + noise/4
		}
		return 0.26 + 2*math.Exp(-t/2000) + noise
	}
	tr := drawn(300, 60, volts, amps)
	mv, ma := metersOf(tr)
	for cv := range 40 {
		c := charge{trace: *tr, hold: hold{found: true, volts: 14.4}}
		v := view{constantAt: cv, finish: Unknown(), held: 14.4, set: 2.3, limit: tailLimit{amps: 0.2}}
		c.finished(&v, &Options{}, ma, mv)
		assert.Equal(t, EndFloat, v.endedBy, "blocks from bin %d", cv)
		assert.InDelta(t, 12000, v.finish, 61)
	}
}

// A load that hangs beside a battery on float takes what it takes; a float that was one does not cease to be one
// when the charger is switched off, or the log ends, while it runs. What has taken as much at that voltage from the first is a
// charge that goes on.
func TestALoadBesideAFloatIsNoChargeThatGoesOn(t *testing.T) {
	loaded := func(small float64) *trace {
		return drawn(2000, 10, func(t float64) float64 {
			if t < 10000 {
				return 14.4
			}
			return 13.6
		}, func(t float64) float64 {
			switch {
			case t < 10000:
				return 5 * math.Exp(-t/7200)
			case t < 19000:
				return small
			}
			return 1.8
		})
	}
	tr := loaded(0.1)
	at, ok := steppedDown(tr, 0, len(tr.bins), 14.4, 0.036, 5, 0.3)
	require.True(t, ok)
	assert.InDelta(t, 10000, at, 10)
	tr = loaded(1.8)
	_, ok = steppedDown(tr, 0, len(tr.bins), 14.4, 0.036, 5, 0.3)
	assert.False(t, ok)
}
