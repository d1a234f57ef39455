package decoders

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// clippedOn are rows of 2 s: leads in the air, a battery clipped on, twice if so said, and a charge. The meter's
// zero is off by two digits and flickers by two. way is that of the charge.
func clippedOn(rows int, twice bool, way float64) [][]byte {
	lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
	for k := range rows {
		volts, amps := 0.001*float64(k*7%5-2), -0.02+0.01*float64(k*5%3-1)
		if k%40 == 0 {
			amps = -0.04
		}
		if k >= 300 && (!twice || k < 350 || k >= 380) {
			volts = 12.4 + 0.001*float64(k*3%4)
		}
		if k >= 450 {
			volts, amps = 12.9+0.0005*float64(k)+0.001*float64(k*3%4), way*(3+0.01*float64(k%2))
		}
		lines = append(lines, fmt.Appendf(nil, "%d,%.3f,%.2f", 2*k, volts, amps))
	}
	return lines
}

// A battery that is clipped on lifts the voltage, but no current does.
func TestABatteryClippedOnTellsNoSign(t *testing.T) {
	for _, twice := range []bool{false, true} {
		f, err := Fit(clippedOn(420, twice, 1), Options{})
		require.NoError(t, err)
		assert.False(t, f.Told, "none has flowed: %s", f.Evidence)
		assert.NotContains(t, f.Setting, "negate")
		for _, way := range []float64{1, -1} {
			f, err := Fit(clippedOn(1000, twice, way), Options{})
			require.NoError(t, err)
			assert.True(t, f.Told)
			assert.Equal(t, way < 0, f.Layout.Field(Amps).Negate, "%s", f.Evidence)
		}
	}
}
