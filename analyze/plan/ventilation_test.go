package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

func TestVentilation(t *testing.T) {
	for _, c := range []struct {
		kind                  analyze.Chemistry
		ah                    float64
		floating, boost       float64 // m3/h
		opening, boostOpening float64 // cm2
	}{
		{analyze.LeadFlooded, 100, 0.15, 0.60, 4.2, 16.8},
		{analyze.LeadAGM, 100, 0.03, 0.24, 0.84, 6.72},
		{analyze.LeadFlooded, 60, 0.09, 0.36, 2.52, 10.08},
	} {
		f, b, ok := gasCurrents(c.kind)
		require.True(t, ok)
		low, high := vent(f, 6, c.ah*ampereHour), vent(b, 6, c.ah*ampereHour)
		assert.InDelta(t, c.floating, low.Airflow*hour, 0.001)
		assert.InDelta(t, c.boost, high.Airflow*hour, 0.001)
		assert.InDelta(t, c.opening, low.Opening*1e4, 0.01)
		assert.InDelta(t, c.boostOpening, high.Opening*1e4, 0.01)
		assert.InDelta(t, 2.5*c.boost, high.Room, 0.001)
	}
	assert.InDelta(t, 2.70, vent(20, 12, 225*ampereHour).Airflow*hour, 0.001, "a published example for traction: 2 A for each 100 Ah, the same rule")
	// The distance formula is from memory.
	assert.InDelta(t, 362.9, vent(20, 6, 100*ampereHour).Distance*1e3, 0.1)
	assert.InDelta(t, 228.6, vent(5, 6, 100*ampereHour).Distance*1e3, 0.1)
	for c, want := range map[analyze.Chemistry][2]float64{analyze.LeadFlooded: {5, 20}, analyze.LeadAGM: {1, 8}, analyze.LeadGel: {1, 8}, analyze.NiCd: {5, 50}} {
		f, b, ok := gasCurrents(c)
		assert.True(t, ok)
		assert.Equal(t, want, [2]float64{f, b}, c)
	}
	_, _, ok := gasCurrents(analyze.LiFePO4)
	assert.False(t, ok)
}

func TestHydrogen(t *testing.T) {
	litres := func(ah float64, cells int, celsius, pascal float64) float64 {
		return 1000 * hydrogenVolume(ah*ampereHour, cells, celsius, pascal)
	}
	assert.InDelta(t, 0.4181, litres(1, 1, 0, atmosphere), 0.0005, "printed")
	assert.InDelta(t, 0.4564, litres(1, 1, 25, atmosphere), 0.0005, "printed 0.456")
	assert.InDelta(t, 0.4488, litres(1, 1, 20, atmosphere), 0.0005)
	assert.InDelta(t, 0.4625, litres(1, 1, 25, 1e5), 0.0005)
	assert.InDelta(t, 0.4237, litres(1, 1, 0, 1e5), 0.0005)
	assert.InDelta(t, 0.684, 0.15*litres(10, 1, 25, atmosphere), 0.001, "a published example: 10 A, 85 % recombined")
	assert.InDelta(t, 25.09, litres(10, 6, 0, atmosphere), 0.02)
	assert.InDelta(t, 27.39, litres(10, 6, 25, atmosphere), 0.02)
}
