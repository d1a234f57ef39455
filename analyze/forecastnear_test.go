package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Nickel differs in how steeply it climbs to its peak. Where the slope is six times the least
// almost at once, the peak comes sooner than where it has only doubled as long ago.
func TestForecastOfASteepNickelPeak(t *testing.T) {
	const capacity, amps = 2.0, 1.0 // Ah; A
	bend := 600 + 1.4*anHour
	peak := bend + 0.13*capacity*anHour/amps
	rows := script(2, idle(600, 5.2), ramp(600, 5.4, 5.6, amps, amps), ramp(1.4*anHour-600, 5.6, 5.76, amps, amps), ramp(peak-bend, 5.76, 5.96, amps, amps))
	f := forecastAt(analyze.Options{Chemistry: analyze.NiMH, Cells: 4, Capacity: capacity * anHour}, rows, peak-0.03*capacity*anHour/amps)
	require.NotNil(t, f)
	assert.Less(t, math.Abs(float64(f.FinishS)-peak), float64(f.FinishSU95), "%.0f s, %.0f s wide, for %.0f s", f.FinishS, f.FinishSU95, peak)
	assert.Less(t, float64(f.FinishSU95), 0.15*(peak-600))
}

// Near full lithium-ion's slope is much the same for all makes. Where it is still flat
// shortly before the limit, it is about to become steep, and the limit is nearer than a
// straight line says.
func TestForecastOfLithiumThatIsStillFlat(t *testing.T) {
	rows := script(10, idle(600, 3.50), ramp(3*anHour, 3.60, 4.10, 0.6, 0.6), ramp(0.7*anHour, 4.10, 4.16, 0.6, 0.6))
	now := 600 + 3.7*anHour
	f := forecastAt(analyze.Options{Chemistry: analyze.LiIon, Cells: 1, Capacity: 3 * anHour}, rows, now)
	require.NotNil(t, f)
	assert.Less(t, float64(f.FinishS)-now, 0.8*anHour, "by what it needs and a straight line it would be 0.9 h")
}

// Earlier nights alone are enough to go by, and so are rows minutes apart.
func TestForecastOfLittleKnown(t *testing.T) {
	near := script(10, idle(600, 3.50), ramp(3*anHour, 3.60, 4.10, 0.6, 0.6), ramp(0.7*anHour, 4.10, 4.16, 0.6, 0.6))
	night := analyze.Earlier{ChargeIn: 2.7 * anHour, Seconds: 5 * anHour, Constant: 4.2 * anHour, SetAmps: 0.6, HeldVolts: 4.2}
	f := forecastAt(analyze.Options{Chemistry: analyze.LiIon, Cells: 1, Earlier: []analyze.Earlier{night, night}}, near, 600+3.7*anHour)
	require.NotNil(t, f, "by earlier nights")
	assert.InDelta(t, 600+5*anHour, float64(f.FinishS), 0.4*anHour)

	f = forecastAt(analyze.Options{Chemistry: analyze.LiIon, Capacity: 3 * anHour}, script(300, idle(1800, 3.50), ramp(4*anHour, 3.60, 4.15, 0.6, 0.6)), 1800+3.5*anHour)
	require.NotNil(t, f, "rows minutes apart")
	assert.Greater(t, float64(f.FinishS), 1800+4*anHour)
}
