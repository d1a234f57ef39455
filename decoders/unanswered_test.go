package decoders

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Without names, what leaps up alone is the voltage of a battery that is clipped on, and no current: neither the
// temperature nor the current beside it answers.
func TestABatteryClippedOnIsNoCurrent(t *testing.T) {
	for _, celsius := range []float64{16, 27.5} {
		var lines [][]byte
		for k := range 140 {
			volts, amps := 0.001*float64(k*7%5-2), 0.02+0.01*float64(k%2)
			switch {
			case k > 130: // taken off
			case k >= 12:
				volts, amps = 13.2+0.004*float64(k)+0.01*float64(k*5%3), 6.2+0.01*float64(k*3%4)
			case k >= 3:
				volts = 12.37
			}
			warmer := float64(k/30 - k%7/6)
			lines = append(lines, fmt.Appendf(nil, "%d\t%.3f\t%.2f\t%.0f", 120*k, volts, amps, celsius+warmer))
		}
		f, err := Fit(lines, Options{})
		require.NoError(t, err)
		assert.Contains(t, f.Setting, "voltage=2:V current=3:A", "%g", celsius)
	}
}

// Where the voltage is told to a tenth, it answers no small current by much: that refuses none.
func TestACoarseVoltageNeedNotAnswer(t *testing.T) {
	var lines [][]byte
	for k := range 400 {
		volts, amps := 12.3, 0.02
		if k >= 6 {
			volts, amps = 12.4+0.1*float64(k/100), 3.03+0.01*float64(k*3%7/3-1)
		}
		lines = append(lines, fmt.Appendf(nil, "%d,%.1f,%.2f,%.1f", 5*k, volts, amps, 33.5-0.1*float64(k/60%3+k%5/4)))
	}
	f, err := Fit(lines, Options{})
	require.NoError(t, err)
	assert.Contains(t, f.Setting, "voltage=2:V current=3:A")
}
