package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A charger that goes by how fast the cells warm stops, and shows what they are. What warms evenly, or
// ever more slowly, as the charge of any battery in a cool room does, shows nothing.
func TestNickelThatWarmsEverFasterIsFull(t *testing.T) {
	for _, c := range []struct {
		name    string
		volts   float64
		celsius func(t float64) float64
		full    bool
	}{
		{"a kelvin a minute in the end", 14.6, func(t float64) float64 { return 22 + t/1500 + max(t-3300, 0)/60 }, true},
		{"by a thermometer of whole kelvins", 14.6, func(t float64) float64 { return math.Round(22 + t/1500 + max(t-3300, 0)/60) }, true},
		{"evenly", 14.6, func(t float64) float64 { return 22 + t/120 }, false},
		{"ever more slowly", 14.6, func(t float64) float64 { return 40 - 18*math.Exp(-t/900) }, false},
		{"no thermometer", 14.6, flat(math.NaN()), false},
		{"a voltage that no nickel has", 2.4, func(t float64) float64 { return 22 + max(t-3300, 0)/60 }, false},
	} {
		tr := drawn(360, 10, flat(c.volts), flat(2))
		for k := range tr.bins {
			tr.bins[k].celsius = c.celsius(tr.bins[k].t0)
		}
		assert.Equal(t, c.full, warmed(tr, len(tr.bins)), c.name)
	}
}
