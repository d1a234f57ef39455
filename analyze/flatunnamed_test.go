package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// A load takes all that the charger gives, after an hour of charging. Nobody said what the battery is, and it may
// stand where a pack of nickel would: it is not full, and gets nowhere.
func TestALoadThatTakesItAllIsNoPeakWithoutALabel(t *testing.T) {
	for name, volts := range map[string][2]float64{
		"three of lithium":    {10.5, 11.0},
		"ten of lithium":      {35.0, 36.7},
		"eight of nickel":     {9.9, 10.4},
		"six of lead-acid":    {11.9, 12.13},
		"twelve of lead-acid": {23.9, 24.3},
	} {
		sags := func(t float64) float64 { return volts[1] * (0.988 + 0.006*math.Exp(-t/150)) }
		d := run(analyze.Options{}, metered(30, 0.01, 0.01, idle(300, volts[0]-0.1), ramp(anHour, volts[0], volts[1], 2, 2), part{15 * anHour, sags, always(2)}))
		assert.Equal(t, analyze.Running, d.Sessions[0].Outcome, name)
		if volts[1] > 12 && volts[1] < 36 { // where nickel would stand, too, more time must pass
			assert.NotNil(t, findingIn(d, analyze.CodeStalled), name)
		}
	}
}
