package analyze_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// The trickle after the peak of a nickel pack scatters by a digit, about a voltage that stands: nobody holds that.
func TestATrickleAfterThePeakIsNoHeldVoltage(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 3))
		rows := script(60, ramp(3*anHour, 2.6, 2.86, 1.5, 1.5), ramp(600, 2.86, 2.845, 1.5, 1.5), ramp(anHour, 2.824, 2.829, 0.155, 0.150), idle(anHour, 2.8))
		for k := range rows {
			if rows[k].Amps > 0 {
				rows[k].Amps = rounded(rows[k].Amps+0.008*r.NormFloat64(), 0.01)
			}
		}
		s := run(analyze.Options{Chemistry: analyze.NiMH, Capacity: 5 * anHour}, rows).Sessions[0]
		assert.Equal(t, analyze.EndVoltagePeak, s.EndedBy, "seed %d", seed)
		assert.False(t, analyze.Known(s.HeldV), "seed %d", seed)
	}
}
