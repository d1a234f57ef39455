package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// filled is LiFePO4 on its plateau, which comes steeply to where it stops.
var filled = []part{idle(300, 13.2), ramp(2*anHour, 13.3, 13.45, 15, 15), ramp(600, 13.45, 14.4, 15, 15)}

// A battery that is full takes a twentieth within a few rows, whatever their pace, and the voltage stays: that is
// constant voltage, and what happens from there on is seen.
func TestALimitThatAFullBatteryMeetsIsSeen(t *testing.T) {
	for _, every := range []float64{1, 10, 60} {
		held := part{3 * anHour, always(14.4), func(t float64) float64 { return 0.6 + 14.4*math.Exp(-t/(every/2)) }}
		s := run(analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4}, script(every, append(filled, held, settle(anHour, 13.6, 13.4, 600))...)).Sessions[0]
		assert.InDelta(t, 14.4, float64(s.HeldV), 0.001, "rows of %g s", every)
		assert.Equal(t, analyze.Complete, s.Outcome, "rows of %g s", every)
		assert.InDelta(t, 300+2*anHour+600, float64(s.FinishS), 2*every+10, "rows of %g s", every)

		runs := part{3 * anHour, always(14.4), func(t float64) float64 { return 0.5*math.Exp(t/2700) + 14.4*math.Exp(-t/(every/2)) }}
		s = run(analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4}, script(every, append(filled, runs)...)).Sessions[0]
		require.Contains(t, codesOf(&s), analyze.CodeThermalRunaway, "rows of %g s", every)
	}
}

// A battery that was full before leaps to the limit.
func TestALimitThatAFullBatteryLeapsToIsSeen(t *testing.T) {
	held := part{anHour, always(14.5), func(t float64) float64 { return 0.6 + 3.4*math.Exp(-t/8) }}
	s := run(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}, script(10, idle(600, 12.84), ramp(500, 13.09, 13.95, 4, 4), held, settle(anHour, 14, 13, 300))).Sessions[0]
	assert.InDelta(t, 14.5, float64(s.HeldV), 0.001)
	assert.Equal(t, analyze.Complete, s.Outcome)
}

// What falls at once for another reason holds no voltage.
func TestWhatFallsAtOnceHoldsNoVoltage(t *testing.T) {
	for name, rows := range map[string][]analyze.Sample{
		"a charger that throttles on the plateau": script(10, idle(300, 13.2), ramp(2*anHour, 13.30, 13.36, 5, 5), ramp(anHour, 13.345, 13.35, 2, 2)),
		"a second stage with less current":        script(10, idle(300, 12.0), ramp(2*anHour, 12.6, 14.3, 5, 5), ramp(anHour, 14.05, 14.12, 2, 2)),
		"a lead that comes off":                   script(10, idle(300, 12.0), ramp(2*anHour, 12.6, 13.5, 5, 5), steady(anHour, 15, 0.05)),
		"a clamp that turns bad":                  script(10, idle(300, 12.0), ramp(2*anHour, 12.6, 13.4, 5, 5), steady(anHour, 14.4, 1)),
		"a charger that gives a third less":       script(10, idle(300, 12.0), ramp(2*anHour, 12.6, 14.3, 5, 5), ramp(anHour, 14.27, 14.28, 3.4, 3.4)),
	} {
		s := run(analyze.Options{}, rows).Sessions[0]
		assert.False(t, analyze.Known(s.HeldV), name)
	}
}

// A meter whose zero is off by 15 mA, a little less as it warms up, on a battery that waits for its charge: that is
// neither a charge, nor a limit, nor a battery that came off.
func TestAZeroThatSinksIsNoCharge(t *testing.T) {
	for _, amps := range []float64{0.012, 0.0156, 0.02} {
		zero := part{1800, always(12.06), func(t float64) float64 { return amps * (1 - 0.15*t/1800) }}
		charge := func(p part) part {
			return part{p.seconds, p.volts, func(t float64) float64 { return p.amps(t) + 0.013 }}
		}
		d := run(analyze.Options{}, script(5, zero, charge(ramp(6*anHour, 12.3, 14.4, 2, 2)), charge(fade(2*anHour, 14.4, 2, anHour))))
		require.Len(t, d.Sessions, 1, "%g A", amps)
		assert.InDelta(t, 1800, float64(d.Sessions[0].StartS), 10, "%g A", amps)
		assert.InDelta(t, 14.4, float64(d.Sessions[0].HeldV), 0.01, "%g A", amps)
		assert.Empty(t, warnings(d), "%g A", amps)
	}
}
