package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// Three copies of one table: 100/75/50/25/0 % at 26.7 C.
func TestFloodedRestVoltage(t *testing.T) {
	for volts, state := range map[float64]float64{12.65: 1, 12.45: 0.75, 12.24: 0.50, 12.06: 0.25, 11.89: 0} {
		s, ok := StateOfCharge(analyze.LeadFlooded, volts, 6, 26.7)
		require.True(t, ok)
		assert.InDelta(t, state, s.Fraction, 0.015, "%g V", volts) // 0.01 V is 1.2 %
		assert.NotEmpty(t, s.Table)
		assert.Empty(t, s.Note)
		assert.True(t, s.Low <= s.Fraction && s.Fraction <= s.High)
	}
	// The cells of the 5 % table, as 24 V.
	for i, volts := range []float64{12.66, 12.62, 12.58, 12.53, 12.49, 12.45, 12.41, 12.37, 12.32, 12.28, 12.24, 12.20, 12.17, 12.13, 12.10, 12.06, 12.03, 11.99, 11.96, 11.92, 11.89} {
		s, ok := StateOfCharge(analyze.LeadFlooded, 2*volts, 12, analyze.Unknown())
		require.True(t, ok)
		assert.InDelta(t, 1-float64(i)*0.05, s.Fraction, 1e-9)
	}
}

// A battery maker's table after 24 h; a vehicle maker's AGM bands.
func TestSealedRestVoltage(t *testing.T) {
	for _, c := range []struct {
		kind  analyze.Chemistry
		volts float64
		low   float64
		high  float64
	}{
		{analyze.LeadAGM, 12.80, 1, 1}, {analyze.LeadAGM, 12.90, 1, 1}, {analyze.LeadAGM, 12.60, 0.75, 0.75},
		{analyze.LeadAGM, 12.30, 0.5, 0.5}, {analyze.LeadAGM, 12.00, 0.25, 0.25}, {analyze.LeadAGM, 11.80, 0, 0},
		{analyze.LeadAGM, 12.7, 0.75, 1}, {analyze.LeadAGM, 12.45, 0.5, 0.75}, {analyze.LeadAGM, 12.15, 0.25, 0.5}, {analyze.LeadAGM, 11.9, 0, 0.25},
		{analyze.LeadGel, 12.85, 1, 1}, {analyze.LeadGel, 12.65, 0.75, 0.75}, {analyze.LeadGel, 12.35, 0.5, 0.5}, {analyze.LeadGel, 12.00, 0.25, 0.25}, {analyze.LeadGel, 11.80, 0, 0},
	} {
		s, ok := StateOfCharge(c.kind, c.volts, 6, 26.7)
		require.True(t, ok)
		assert.True(t, s.Fraction >= c.low-1e-9 && s.Fraction <= c.high+1e-9, "%s %g V gave %g", c.kind, c.volts, s.Fraction)
	}
}

// The full column of a published table against temperature.
func TestRestVoltageAndTemperature(t *testing.T) {
	for celsius, volts := range map[float64]float64{48.9: 12.663, 37.8: 12.658, 26.7: 12.650, 21.1: 12.643, 15.6: 12.634, 10.0: 12.622, 4.4: 12.606, -1.1: 12.588, -6.7: 12.566, -12.2: 12.542, -17.8: 12.516} {
		s, ok := StateOfCharge(analyze.LeadFlooded, volts, 6, celsius)
		require.True(t, ok)
		assert.InDelta(t, 0.9875, s.Fraction, 1e-6, "%g C", celsius) // 12.65 V in a table that ends at 12.66
	}
	slope := (interpolate(restShift, 26.7) - interpolate(restShift, 21.1)) / 5.6 / 6
	assert.InDelta(t, 0.00021, slope, 0.00002, "V/K a cell")
}

func TestRestVoltageSaysNothingWhereItCannot(t *testing.T) {
	for _, c := range []analyze.Chemistry{analyze.LiFePO4, analyze.NiMH, analyze.NiCd, ""} {
		_, ok := StateOfCharge(c, 13.2, 4, 25)
		assert.False(t, ok, c)
	}
	_, ok := StateOfCharge(analyze.LeadAGM, analyze.Unknown(), 6, 25)
	assert.False(t, ok)
	_, ok = StateOfCharge(analyze.LeadAGM, 12.6, 0, 25)
	assert.False(t, ok)
	s, _ := StateOfCharge(analyze.LeadFlooded, 13.4, 6, 25)
	assert.Equal(t, 1.0, s.Fraction)
	assert.Contains(t, s.Note, "surface charge")
	s, _ = StateOfCharge(analyze.LeadFlooded, 10.4, 6, 25)
	assert.Equal(t, 0.0, s.Fraction)
	assert.Contains(t, s.Note, "a cell is dead")
}

// From memory: only that it rises and that its name says so.
func TestLiIonTableIsMarkedAsRecalled(t *testing.T) {
	last := -1.0
	for v := 3.0; v <= 4.2; v += 0.02 {
		s, ok := StateOfCharge(analyze.LiIon, v, 1, 25)
		require.True(t, ok)
		assert.GreaterOrEqual(t, s.Fraction, last)
		assert.Contains(t, s.Table, "from memory")
		last = s.Fraction
	}
	assert.Equal(t, 1.0, last)
}

func TestHealthyAndFull(t *testing.T) {
	assert.True(t, HealthyAndFull(12.6, 6))
	assert.True(t, HealthyAndFull(12.75, 6))
	assert.False(t, HealthyAndFull(12.5, 6))
	assert.True(t, HealthyAndFull(6.3, 3))
}

func TestGravity(t *testing.T) {
	assert.InDelta(t, 2.130, RestVoltsFromGravity(1.285), 0.001, "a published worked example")
	for gravity, volts := range map[float64]float64{1.100: 11.67, 1.120: 11.79, 1.155: 12.00, 1.190: 12.21, 1.225: 12.42, 1.265: 12.66, 1.280: 12.75, 1.300: 12.87} {
		assert.InDelta(t, volts, 6*RestVoltsFromGravity(gravity), 0.005)
	}
	for gravity, state := range map[float64]float64{1.265: 1, 1.225: 0.75, 1.190: 0.50, 1.155: 0.25, 1.120: 0} {
		assert.InDelta(t, state, StateFromGravity(gravity), 1e-9)
		assert.InDelta(t, gravity, GravityFromState(state), 1e-9)
	}
	assert.InDelta(t, 1.254, CorrectGravity(1.250, fahrenheit(90)), 1e-9)
	assert.InDelta(t, 1.246, CorrectGravity(1.250, fahrenheit(70)), 1e-9)
}

// Two army manuals and a vehicle maker; interpolated rows are arithmetic.
func TestFreezingPoint(t *testing.T) {
	for gravity, celsius := range map[float64]float64{1.050: -2.8, 1.100: -7.5, 1.150: -15.0, 1.200: -27, 1.225: -37.2, 1.250: -52.2, 1.265: -59.4, 1.280: -67.8} {
		assert.InDelta(t, celsius, FreezingPoint(gravity), 0.5, "SG %g", gravity)
	}
	for gravity, celsius := range map[float64]float64{1.120: -10.7, 1.155: -16.2, 1.190: -24.3} {
		assert.InDelta(t, celsius, FreezingPoint(gravity), 0.1, "SG %g", gravity)
	}
	flat, ok := ColdestCharge(analyze.LeadFlooded, 0)
	require.True(t, ok)
	assert.InDelta(t, -10.7, flat, 0.1, "not the -23 C of the consumer table")
}
