package decoders

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// signRead is how many of so many made-up logs have their current read as counting out of the battery.
func signRead(t *testing.T, rows int, say func(at float64, chance *rand.Rand) (volts, amps float64)) (negated int) {
	t.Helper()
	for seed := range uint64(signSeeds) {
		chance := rand.New(rand.NewPCG(seed, 9))
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range rows {
			volts, amps := say(float64(k)/float64(rows), chance)
			lines = append(lines, fmt.Appendf(nil, "%d,%.4f,%.4f", 10*k, volts, amps))
		}
		fitted, err := Fit(lines, Options{})
		require.NoError(t, err)
		for _, f := range fitted.Layout.Fields {
			if f.Quantity == Amps && f.Negate {
				negated++
			}
		}
	}
	return negated
}

const signSeeds = 20

// A recorder that is switched on while the charger holds its voltage, by a regulator that drifts a
// little: the current fades, and that tells its sign.
func TestAFadeTellsTheSign(t *testing.T) {
	for _, drift := range []float64{-0.004, 0, 0.004} {
		taper := func(counts float64) func(float64, *rand.Rand) (float64, float64) {
			return func(at float64, chance *rand.Rand) (float64, float64) {
				return 4.2 + drift*at + 0.0006*chance.NormFloat64(), counts * (0.8*math.Exp(-2.5*at) + 0.002*chance.NormFloat64())
			}
		}
		assert.Zero(t, signRead(t, 900, taper(1)), "drift %g V", drift)
		assert.Equal(t, signSeeds, signRead(t, 900, taper(-1)), "drift %g V, charging counted as negative", drift)
	}
}

// Of the first minutes of such a log the current has faded too little to tell, and the drift of the
// voltage must not.
func TestTheDriftOfAHeldVoltageTellsNoSign(t *testing.T) {
	assert.Zero(t, signRead(t, 60, func(at float64, chance *rand.Rand) (float64, float64) {
		return 4.2 - 0.002*at + 0.0001*chance.NormFloat64(), 0.8*math.Exp(-0.08*at) + 0.001*chance.NormFloat64()
	}))
}

// What draws from a battery goes down with its voltage, or in steps; then the voltage tells the sign.
func TestALoadThatGoesDownIsNoFade(t *testing.T) {
	for name, say := range map[string]func(float64, *rand.Rand) (float64, float64){
		"a resistor": func(at float64, chance *rand.Rand) (float64, float64) {
			volts := 12.6 - 0.5*at - 0.4*math.Pow(at, 8)
			return volts + 0.002*chance.NormFloat64(), volts/5 + 0.002*chance.NormFloat64()
		},
		"a torch": func(at float64, chance *rand.Rand) (float64, float64) {
			volts := 4.1 - 0.9*at
			return volts + 0.002*chance.NormFloat64(), 1.2*math.Pow((volts-2.6)/1.5, 2) + 0.002*chance.NormFloat64()
		},
		"loads that are switched off": func(at float64, chance *rand.Rand) (float64, float64) {
			amps := 6 - 2*math.Floor(3*at)
			return 12.5 - 0.05*at - 0.012*amps + 0.002*chance.NormFloat64(), amps + 0.002*chance.NormFloat64()
		},
	} {
		assert.Equal(t, signSeeds, signRead(t, 900, say), name)
	}
}

// A discharge that ends: between two rows a minute apart the voltage has come back before the mean
// current shows it. That one row outweighs how the voltage fell ever more quickly before.
func TestTheRowThatMovedFarthestBelongsToTheStep(t *testing.T) {
	var a ahead
	for _, dv := range []float64{-0.035, -0.042, -0.046, 0.244} {
		a.push(quietRow{dv: dv})
	}
	assert.InDelta(t, 0.244, a.step(0, 0.005), 1e-9)
	assert.Len(t, a.all(), 3, "what was before goes on to count as no step")
	assert.InDelta(t, 0.5, a.step(0.5, 0.005), 1e-9, "the step's own row went farther")
}
