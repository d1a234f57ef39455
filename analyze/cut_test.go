package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// climbing is a voltage that climbs to where it would be, from below, with the time that a
// battery needs after a pause.
func climbing(seconds, from, to, below, tau, amps float64) part {
	rise := line(from, to, seconds)
	return part{seconds, func(t float64) float64 { return rise(t) - below*math.Exp(-t/tau) }, always(amps)}
}

// The mains fail for some minutes, twice: the battery sinks meanwhile, and takes its time to come
// back to where it was. That is not the peak of a nickel battery; nor does a charger's own
// pause hide the peak of one.
func TestVoltageAfterAPowerCutHasNotPeaked(t *testing.T) {
	lead := run(analyze.Options{}, script(10,
		idle(600, 12.2), climbing(2*anHour, 12.6, 13.0, 0.2, 1500, 5),
		idle(600, 12.6), climbing(900, 13.0, 13.02, 0.15, 1500, 5), idle(1200, 12.6), climbing(2*anHour, 13.0, 13.3, 0.15, 1500, 5),
		ramp(2*anHour, 13.3, 14.4, 5, 5), fade(4*anHour, 14.4, 5, anHour), settle(anHour, 13.5, 12.9, 900),
	))
	require.Len(t, lead.Sessions, 1)
	assert.Equal(t, analyze.EndTailCurrent, lead.Sessions[0].EndedBy)
	assert.Equal(t, []string{analyze.CodeInterrupted}, codesOf(&lead.Sessions[0]))

	nickel := run(analyze.Options{}, script(10,
		idle(600, 10), climbing(anHour, 11.2, 11.6, 0.6, 300, 1), idle(60, 11.3), climbing(1200, 11.6, 11.84, 0.1, 60, 1),
		idle(60, 11.5), climbing(600, 11.84, 11.84, 0.05, 60, 1), ramp(900, 11.84, 11.74, 1, 1), settle(anHour, 11.4, 11, 900),
	))
	require.Len(t, nickel.Sessions, 1)
	assert.Equal(t, analyze.EndVoltagePeak, nickel.Sessions[0].EndedBy)
}

// A charger that stops at a tenth of its current does so after the last row above it.
func TestStoppedAtATenthIsComplete(t *testing.T) {
	for share, want := range map[float64]analyze.Outcome{0.1: analyze.Complete, 0.14: analyze.CutShort} {
		tau := 1200.0
		d := run(analyze.Options{}, script(30,
			idle(600, 36), ramp(2*anHour, 37, 42, 3, 3), fade(tau*math.Log(1/share), 42, 3, tau), settle(anHour, 41.9, 41.5, 900)))
		assert.Equal(t, want, d.Sessions[0].Outcome, "stopped at %g of the set current", share)
		assert.Empty(t, warnings(d))
	}
}
