package analyze_test

import (
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Reference, section 5.
func TestStatedChargeFactorsLieInsideTheirSources(t *testing.T) {
	for chemistry, want := range map[analyze.Chemistry][3]float64{
		analyze.LeadFlooded: {1.20, 1.15, 1.30}, // E1's range, E2's and E3's about 1.2
		analyze.LeadAGM:     {1.10, 1.04, 1.12}, // E1
		analyze.LeadGel:     {1.10, 1.04, 1.12},
		analyze.NiMH:        {1.50, 1 / 0.92, 1.60}, // N4's 150 Ah for 100 Ah, E6's range
		analyze.NiCd:        {1.40, 1 / 0.90, 1 / 0.70},
		analyze.LiIon:       {1.01, 1.00, 1.05}, // E4's 99 %
		analyze.LiFePO4:     {1.01, 1.00, 1.05},
	} {
		f, ok := analyze.ChargeFactorOf(chemistry)
		require.True(t, ok)
		assert.Equal(t, want, [3]float64{f.Stated, f.Low, f.High}, chemistry)
		assert.True(t, f.Low <= f.Stated && f.Stated <= f.High, chemistry)
		assert.NotEmpty(t, f.Source)
	}
	f, ok := analyze.ChargeFactorOf("")
	assert.False(t, ok)
	assert.False(t, analyze.Known(f.Stated))
}

func TestDepthOfDischarge(t *testing.T) {
	assert.InDelta(t, 12/1.10/35, analyze.DepthOfDischarge(12, 35, 1.10), 1e-12)
	assert.InDelta(t, 1, analyze.DepthOfDischarge(72, 60, 1.20), 1e-12, "E1: 60 Ah taken from a flooded one wants 69 to 78 Ah back")
	assert.Equal(t, 1.0, analyze.DepthOfDischarge(21.64, 17, 1.10), "no more than all")
}

func TestDepthIsToldOfCompleteChargesOnly(t *testing.T) {
	night := madeup.Night{
		Battery: madeup.Battery{Chemistry: analyze.LeadAGM, Cells: 6, CapacityAh: 17, StateOfCharge: 0.5, Celsius: 20},
		Charger: madeup.Charger{Amps: 3, Volts: 14.5}, Meter: madeup.Meter{Every: 10}, Seed: 1,
	}
	for _, c := range []struct {
		hours    float64
		complete bool
	}{{30, true}, {1, false}} {
		night.Plan = []madeup.Phase{madeup.Sleep(600), madeup.ChargeFor(c.hours * 3600), madeup.Sleep(600)}
		rows, _ := night.Collect()
		s := run(known(night), rows).Sessions[0]
		require.NotNil(t, s.Capacity)
		assert.EqualValues(t, 1.10, s.Capacity.ChargeFactor)
		assert.Equal(t, c.complete, s.Outcome == analyze.Complete)
		if c.complete {
			assert.InDelta(t, 0.5, float64(s.Capacity.DepthOfDischarge), 0.06, "half of it was taken out")
			assert.InDelta(t, float64(s.Capacity.AbsorbedFraction)/1.10, float64(s.Capacity.DepthOfDischarge), 1e-9)
		} else {
			assert.False(t, analyze.Known(s.Capacity.DepthOfDischarge))
		}
	}
}
