package analyze_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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

// A nickel charger trickles after the peak, and pauses for two seconds now and then. By then the battery has
// come far down from its peak: it is the same charge all the same. One that comes with the whole current is another.
func TestAPulsedTrickleIsOneCharge(t *testing.T) {
	o := analyze.Options{Chemistry: analyze.NiMH, Cells: 7, Capacity: 2.5 * 3600}
	peak := []part{idle(600, 8.9), ramp(2*anHour, 9.6, 10.7, 1.25, 1.25), ramp(600, 10.7, 10.5, 1.25, 1.25)}
	trickle := func(rest ...part) []part {
		parts := append(peak[:3:3], ramp(anHour, 10.0, 9.55, 0.14, 0.14))
		for range 60 {
			parts = append(parts, idle(4, 9.52), steady(56, 9.55, 0.14))
		}
		return append(parts, rest...)
	}
	d := run(o, script(2, trickle(settle(anHour, 9.5, 9.3, 600), idle(600, 0))...))
	require.Len(t, d.Sessions, 1)
	assert.Equal(t, analyze.Complete, d.Sessions[0].Outcome)
	assert.Empty(t, warnings(d))
	assert.Len(t, run(o, script(2, trickle(idle(60, 9.5), ramp(anHour, 9.55, 10.2, 1.25, 1.25))...)).Sessions, 2)
}
