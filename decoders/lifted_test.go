package decoders

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A clamp that works loose every now and then: the voltage leaps up to the charger's own each time that the current
// goes, and down when it comes, far more often than it went the other way when the charge began. That the leads stand
// higher then than the battery did before tells that the current counts into it. A battery that is used by turns
// stands lower.
func TestALeadThatComesLooseTellsNoSign(t *testing.T) {
	fitted := func(way, open float64) string {
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range 1200 {
			volts, amps := 13.1, 0.0
			if k >= 100 {
				volts, amps = 13.3+0.0001*float64(k), (2.1+0.001*float64(k%3))*way
			}
			if k >= 300 && k%20 < 8 {
				volts, amps = open, 0
			}
			lines = append(lines, fmt.Appendf(nil, "%d,%.2f,%.3f", 2*k, volts, amps))
		}
		f, err := Fit(lines, Options{})
		require.NoError(t, err)
		return f.Setting
	}
	assert.NotContains(t, fitted(1, 16.05), "negate")
	assert.Contains(t, fitted(-1, 16.05), "negate")

	used := func(way float64) string {
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range 1200 {
			volts, amps := 12.8, 0.0
			if k >= 100 && k%200 < 150 {
				volts, amps = 12.3, (2.1+0.001*float64(k%3))*way
			}
			lines = append(lines, fmt.Appendf(nil, "%d,%.2f,%.3f", 2*k, volts-0.0003*float64(k), amps))
		}
		f, err := Fit(lines, Options{})
		require.NoError(t, err)
		return f.Setting
	}
	assert.NotContains(t, used(-1), "negate")
	assert.Contains(t, used(1), "negate")
}
