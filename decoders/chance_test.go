package decoders

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A charger that starts softly, and a meter whose last digit of the voltage is a tenth of a volt and flickers: the
// first step of the current is no larger than the flicker, which tells no sign. Made up.
func TestAFlickeringDigitTellsNoSign(t *testing.T) {
	for seed := range uint64(100) {
		r := rand.New(rand.NewPCG(seed, 1))
		var v, i []float64
		soft := 10 + 50*r.Float64() // s
		for k := range 3000 {
			at := float64(k)
			amps := 3.5 * math.Max(0, math.Min(1, (at-300)/soft))
			volts := 12.02 + 0.02*amps + 0.3*math.Max(0, at-300)/900
			v = append(v, math.Round(10*(volts+0.05*r.NormFloat64()))/10)
			i = append(i, math.Round(100*(amps-0.007+0.004*r.NormFloat64()))/100)
		}
		for n := 310; n <= len(v); n += 10 + n/20 {
			for _, way := range []float64{1, -1} {
				volts, amps := column{x: v[:n]}, column{}
				for _, x := range i[:n] {
					amps.x = append(amps.x, way*x)
				}
				volts.measure(volts.x)
				amps.measure(amps.x)
				inverted, strength, why := signOf(&volts, &amps)
				assert.False(t, strength >= 1 && inverted != (way < 0), "seed %d, %d rows: %s", seed, n, why)
				assert.False(t, n > 2700 && strength < 1, "seed %d: by then it is told", seed)
			}
		}
	}
}
