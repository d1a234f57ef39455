package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWhereLeadAcidStandsInMidCharge(t *testing.T) {
	for _, c := range []struct {
		volts float64
		cells int
		yes   bool
	}{
		{12.2, 0, true}, {12.6, 0, true}, {25.2, 0, true}, {12.6, 6, true}, {12.6, 3, false},
		{4.2, 0, false}, {8.4, 0, false}, {16.8, 0, false}, {14.4, 0, false}, {13.8, 0, false},
	} {
		assert.Equal(t, c.yes, onTheWay(c.volts, c.cells), "%g V, %d cells", c.volts, c.cells)
	}
}

func TestALimitLetsTheCurrentFallEverMoreSlowly(t *testing.T) {
	for _, c := range []struct {
		name string
		amps func(t float64) float64
		yes  bool
	}{
		{"a taper", func(t float64) float64 { return 6 * math.Exp(-max(t-3600, 0)/2400) }, true},
		{"a charger that gives way", func(t float64) float64 { return max(6-max(t-3600, 0)/400, 1) }, false},
		{"the same, still on its way", func(t float64) float64 { return 6 - max(t-3600, 0)/1200 }, false},
		{"a taper that has begun", func(t float64) float64 { return 6 * math.Exp(-max(t-3600, 0)/6000) }, false},
	} {
		assert.Equal(t, c.yes, drawn(800, 10, flat(12.6), c.amps).tapersOff(8000), c.name)
	}
}
