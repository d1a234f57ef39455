package madeup_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// Sixty drawn nights must be plausible: complete, within the chemistry's limits
// as the summary document has them, and over in a night and a day.
func TestRandomNightsAreGoodNights(t *testing.T) {
	most := map[analyze.Chemistry]struct{ volts, celsius, hours float64 }{
		analyze.LeadFlooded: {2.65, 50, 26},
		analyze.LeadAGM:     {2.65, 50, 26},
		analyze.LeadGel:     {2.65, 50, 26},
		analyze.LiIon:       {4.25, 45, 8},
		analyze.LiFePO4:     {3.70, 45, 8},
		analyze.NiMH:        {1.65, 55, 4},
	}
	seen := map[analyze.Chemistry]int{}
	for seed := range uint64(60) {
		n := madeup.Random(seed)
		truth := n.Truth()
		c, limit := truth.Charges[0], most[truth.Chemistry]
		seen[truth.Chemistry]++
		assert.True(t, n.Good)
		assert.Equal(t, analyze.Complete, c.Outcome, n.Name)
		assert.LessOrEqual(t, float64(c.PeakVolts), limit.volts*float64(truth.Cells), n.Name)
		assert.LessOrEqual(t, float64(c.PeakCelsius), limit.celsius, n.Name)
		assert.LessOrEqual(t, float64(c.EndS)/3600, limit.hours, n.Name)
		factor := float64(c.InAh) / n.Battery.CapacityAh / (float64(c.StateOfCharge) - n.Battery.StateOfCharge)
		assert.Greater(t, factor, 1., n.Name)
		assert.Less(t, factor, 1.6, n.Name)
		assert.True(t, n.Meter.Every >= 1 && n.Meter.Every <= 60 && n.Meter.NoiseVolts <= 0.015 && n.Meter.NoiseAmps <= 0.020, n.Name)
	}
	for chemistry := range most {
		assert.NotZero(t, seen[chemistry], chemistry)
	}
}

func TestNightsAreGoodAsTheySay(t *testing.T) {
	names := map[string]bool{}
	for _, n := range madeup.All() {
		assert.False(t, names[n.Name], "%s stands there twice", n.Name)
		names[n.Name] = true
		for _, c := range n.Truth().Charges {
			if n.Good {
				assert.Equal(t, analyze.Complete, c.Outcome, n.Name)
			}
		}
	}
}

// BenchmarkTwentyHours lives through 20 h with a row a second.
func BenchmarkTwentyHours(b *testing.B) {
	n := madeup.Nights()[0]
	n.Meter.Every, n.Charger.TailAmps = 1, 0
	n.Plan = []madeup.Phase{madeup.ChargeFor(15 * 3600), madeup.Sleep(5 * 3600)}
	b.ReportAllocs()
	for b.Loop() {
		rows := 0
		for range n.Samples() {
			rows++
		}
		if rows != 20*3600 {
			b.Fatal(rows, "rows")
		}
	}
}
