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
	rows := script(10, idle(600, 3.57), ramp(3*anHour, 3.60, 4.10, 0.6, 0.6), ramp(0.7*anHour, 4.10, 4.16, 0.6, 0.6))
	now := 600 + 3.7*anHour
	f := forecastAt(analyze.Options{Chemistry: analyze.LiIon, Cells: 1, Capacity: 3 * anHour}, rows, now)
	require.NotNil(t, f)
	assert.Less(t, float64(f.FinishS)-now, 0.57*anHour, "by what it needs and a straight line it would be 0.74 h")
}

// From 3.9 V on lithium-ion's way to its limit is nearly as straight for one make as for
// another: a battery that holds a fifth less than its label says is done when it gets there.
func TestForecastOfLithiumThatHoldsLess(t *testing.T) {
	const label, holds, amps = 3.0, 2.4, 0.6 // Ah, Ah, A
	limit := 600 + 0.8*holds/amps*anHour
	rows := script(10, idle(600, 3.57), ramp(limit-600, 3.60, 4.20, amps, amps), fade(2*anHour, 4.20, amps, 600))
	finish := limit + 600*math.Log(amps/(0.05*label))
	f := forecastAt(analyze.Options{Chemistry: analyze.LiIon, Cells: 1, Capacity: label * anHour}, rows, 600+0.7*(finish-600))
	require.NotNil(t, f)
	assert.InDelta(t, finish, float64(f.FinishS), 0.06*(finish-600), "by its label and the voltage at rest it would be 12 %% longer")
	assert.Less(t, float64(f.FinishSU95), 0.2*(finish-600))
}

// On the plateau of LiFePO4 a rest voltage hardly tells how full it is. The step in it does,
// as soon as it is over, whatever the label says.
func TestForecastByTheStepOfAPlateau(t *testing.T) {
	const capacity, amps = 20.0, 4.0 // Ah, A
	for began, rested := range map[float64]float64{0.30: 13.17, 0.50: 13.17} {
		hours := func(from, to float64) float64 { return (to - from) * capacity / amps * anHour }
		night := func(step float64) []analyze.Sample {
			return script(10, idle(600, rested), ramp(hours(began, 0.60), 13.35, 13.36, amps, amps),
				ramp(hours(0.60, 0.68), 13.36, 13.36+step, amps, amps), ramp(hours(0.68, 0.97), 13.36+step, 13.38+step, amps, amps),
				ramp(hours(0.97, 1), 13.38+step, 14.4, amps, amps))
		}
		finish := 600 + hours(began, 1)
		o := analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4, Capacity: capacity * anHour}
		with, without := forecastAt(o, night(0.10), 600+0.85*(finish-600)), forecastAt(o, night(0), 600+0.85*(finish-600))
		require.NotNil(t, with, "%.2f", began)
		require.NotNil(t, without, "%.2f", began)
		assert.InDelta(t, finish, float64(with.FinishS), 0.05*(finish-600), "%.2f", began)
		assert.Less(t, float64(with.FinishSU95), 0.6*float64(without.FinishSU95), "%.2f", began)
	}
}

// A pause lets the voltage sink, and it climbs again: that is no step.
func TestForecastTakesNoPauseForAStep(t *testing.T) {
	o := analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4, Capacity: 20 * anHour}
	flat := script(10, idle(600, 13.17), ramp(1.5*anHour, 13.35, 13.37, 4, 4), ramp(1200, 13.37, 13.38, 4, 4), ramp(1.2*anHour, 13.38, 13.40, 4, 4))
	paused := script(10, idle(600, 13.17), ramp(1.5*anHour, 13.35, 13.37, 4, 4), idle(1200, 13.25), ramp(1200, 13.30, 13.38, 4, 4), ramp(1.2*anHour, 13.38, 13.40, 4, 4))
	a, b := forecastAt(o, flat, 600+3*anHour), forecastAt(o, paused, 600+1200+3*anHour)
	require.NotNil(t, a)
	require.NotNil(t, b)
	assert.InDelta(t, float64(a.FinishSU95), float64(b.FinishSU95), 0.25*float64(a.FinishSU95))
}

// What ends a lead-acid charge before its tail has done so, at three hundredths of the capacity,
// by the time that it is near its tail: then little is unsure.
func TestForecastIsSurerNearTheTail(t *testing.T) {
	const capacity, amps, tau = 50.0, 5.0, 3600.0 // Ah, A, s
	begin := 600 + 6*anHour
	rows := script(10, idle(600, 12.1), ramp(6*anHour, 12.6, 14.4, amps, amps), fade(4*anHour, 14.4, amps, tau))
	finish := begin + tau*math.Log(amps/(0.02*capacity))
	o := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: capacity * anHour}
	for folds, wide := range map[float64][2]float64{0.55: {0.3, 1.2}, 0.15: {0, 0.3}} {
		f := forecastAt(o, rows, finish-folds*tau)
		require.NotNil(t, f)
		assert.InDelta(t, finish, float64(f.FinishS), 0.2*folds*tau, "%.2f", folds)
		assert.Greater(t, float64(f.FinishSU95), wide[0]*tau, "%.2f", folds)
		assert.Less(t, float64(f.FinishSU95), wide[1]*tau, "%.2f", folds)
	}
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
