package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Three copies of one table: 100/75/50/25/0 % at 26.7 C.
func TestFloodedRestVoltage(t *testing.T) {
	for volts, state := range map[float64]float64{12.65: 1, 12.45: 0.75, 12.24: 0.50, 12.06: 0.25, 11.89: 0} {
		s, ok := StateOfCharge(LeadFlooded, volts, 6, 26.7)
		require.True(t, ok)
		assert.InDelta(t, state, s.Fraction, 0.015, "%g V", volts) // 0.01 V is 1.2 %
		assert.NotEmpty(t, s.Table)
		assert.Empty(t, s.Note)
		assert.True(t, s.Low <= s.Fraction && s.Fraction <= s.High)
	}
	// The cells of the 5 % table, as 24 V.
	for i, volts := range []float64{12.66, 12.62, 12.58, 12.53, 12.49, 12.45, 12.41, 12.37, 12.32, 12.28, 12.24, 12.20, 12.17, 12.13, 12.10, 12.06, 12.03, 11.99, 11.96, 11.92, 11.89} {
		s, ok := StateOfCharge(LeadFlooded, 2*volts, 12, Unknown())
		require.True(t, ok)
		assert.InDelta(t, 1-float64(i)*0.05, s.Fraction, 1e-9)
	}
}

// A battery maker's table after 24 h; a vehicle maker's AGM bands.
func TestSealedRestVoltage(t *testing.T) {
	for _, c := range []struct {
		kind  Chemistry
		volts float64
		low   float64
		high  float64
	}{
		{LeadAGM, 12.80, 1, 1}, {LeadAGM, 12.90, 1, 1}, {LeadAGM, 12.60, 0.75, 0.75},
		{LeadAGM, 12.30, 0.5, 0.5}, {LeadAGM, 12.00, 0.25, 0.25}, {LeadAGM, 11.80, 0, 0},
		{LeadAGM, 12.7, 0.75, 1}, {LeadAGM, 12.45, 0.5, 0.75}, {LeadAGM, 12.15, 0.25, 0.5}, {LeadAGM, 11.9, 0, 0.25},
		{LeadGel, 12.85, 1, 1}, {LeadGel, 12.65, 0.75, 0.75}, {LeadGel, 12.35, 0.5, 0.5}, {LeadGel, 12.00, 0.25, 0.25}, {LeadGel, 11.80, 0, 0},
	} {
		s, ok := StateOfCharge(c.kind, c.volts, 6, 26.7)
		require.True(t, ok)
		assert.True(t, s.Fraction >= c.low-1e-9 && s.Fraction <= c.high+1e-9, "%s %g V gave %g", c.kind, c.volts, s.Fraction)
	}
}

// The full column of a published table against temperature.
func TestRestVoltageAndTemperature(t *testing.T) {
	for celsius, volts := range map[float64]float64{48.9: 12.663, 37.8: 12.658, 26.7: 12.650, 21.1: 12.643, 15.6: 12.634, 10.0: 12.622, 4.4: 12.606, -1.1: 12.588, -6.7: 12.566, -12.2: 12.542, -17.8: 12.516} {
		s, ok := StateOfCharge(LeadFlooded, volts, 6, celsius)
		require.True(t, ok)
		assert.InDelta(t, 0.9875, s.Fraction, 1e-6, "%g C", celsius) // 12.65 V in a table that ends at 12.66
	}
	slope := (restShift.At(26.7) - restShift.At(21.1)) / 5.6 / 6
	assert.InDelta(t, 0.00021, slope, 0.00002, "V/K a cell")
}

func TestRestVoltageSaysNothingWhereItCannot(t *testing.T) {
	for _, c := range []Chemistry{LiFePO4, NiMH, NiCd, ""} {
		_, ok := StateOfCharge(c, 13.2, 4, 25)
		assert.False(t, ok, c)
	}
	_, ok := StateOfCharge(LeadAGM, Unknown(), 6, 25)
	assert.False(t, ok)
	_, ok = StateOfCharge(LeadAGM, 12.6, 0, 25)
	assert.False(t, ok)
	s, _ := StateOfCharge(LeadFlooded, 13.4, 6, 25)
	assert.Equal(t, 1.0, s.Fraction)
	assert.Contains(t, s.Note, "surface charge")
	s, _ = StateOfCharge(LeadFlooded, 10.4, 6, 25)
	assert.Equal(t, 0.0, s.Fraction)
	assert.Contains(t, s.Note, "a cell is dead")
}

// From memory: only that it rises and that its name says so.
func TestLiIonTableIsMarkedAsRecalled(t *testing.T) {
	last := -1.0
	for v := 3.0; v <= 4.2; v += 0.02 {
		s, ok := StateOfCharge(LiIon, v, 1, 25)
		require.True(t, ok)
		assert.GreaterOrEqual(t, s.Fraction, last)
		assert.Contains(t, s.Table, "from memory")
		last = s.Fraction
	}
	assert.Equal(t, 1.0, last)
}

// Cells that a label calls li-ion, at points of published curves, of an open log and of one cell with
// cobalt: whatever its make, what it really has is among what would fit.
func TestLiIonLeavesOpenWhichKindOfCellItIs(t *testing.T) {
	for kind, points := range map[string]Table{
		"nickel, a power cell":          {{3.1461, 0.0452}, {3.3231, 0.0955}, {3.4218, 0.1508}, {3.5737, 0.2915}, {3.7017, 0.4573}, {4.0637, 0.8342}, {4.1009, 0.9497}},
		"nickel, another":               {{3.3677, 0.0709}, {3.4561, 0.153}, {3.5478, 0.2417}, {3.6094, 0.3303}, {3.7059, 0.4644}, {3.8368, 0.5985}, {4.0759, 0.8798}},
		"a pack's":                      {{3.5162, 0.05}, {3.642, 0.15}, {3.7472, 0.25}, {3.7712, 0.4}, {3.7896, 0.5}, {3.9162, 0.7}, {4.0766, 0.9}},
		"manganese, less 0.05 V at C/3": {{3.697, 0.1}, {3.763, 0.2}, {3.845, 0.3}, {3.926, 0.5}, {4.01, 0.7}, {4.094, 0.9}},
	} {
		for _, p := range points {
			s, ok := StateOfCharge(LiIon, 5*p[0], 5, 25)
			require.True(t, ok)
			assert.True(t, s.Low <= p[1] && p[1] <= s.High, "%s at %.3f V has %.3f, not %.3f to %.3f", kind, p[0], p[1], s.Low, s.High)
		}
	}
	s, _ := StateOfCharge(LiIon, 3.64, 1, 25)
	assert.Greater(t, s.Most()-s.Least(), 2*vagueState, "a tenth for one, four tenths for another")
	s, _ = StateOfCharge(LiIon, 4.10, 1, 25)
	assert.Less(t, s.Most()-s.Least(), 0.1, "near full they agree")
	s, _ = StateOfCharge(LeadAGM, 12.5, 6, 25)
	assert.Equal(t, s.Fraction, s.Least())
	assert.Equal(t, s.Fraction, s.Most(), "a table of the kind itself")
}

func TestHealthyAndFull(t *testing.T) {
	assert.True(t, HealthyAndFull(12.6, 6))
	assert.True(t, HealthyAndFull(12.75, 6))
	assert.False(t, HealthyAndFull(12.5, 6))
	assert.True(t, HealthyAndFull(6.3, 3))
}
