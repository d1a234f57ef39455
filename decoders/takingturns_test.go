package decoders

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two batteries in one log are no battery, whichever way their rows are told apart.
func TestDevicesThatTakeTurns(t *testing.T) {
	for _, format := range []string{
		"%[1]s,%.0[2]f,%.3[3]f,%.3[4]f",
		"%.0[2]f;%.3[3]f;%.3[4]f;%[1]s",
		`{"id":%[1]q,"t":%.0[2]f,"v":%.3[3]f,"i":%.3[4]f}`,
		"dev=%[1]s t=%.0[2]f V=%.3[3]f I=%.3[4]f",
	} {
		for _, names := range [][2]string{{"1", "2"}, {"x", "y"}} {
			one := func(name string, r row, volts, amps float64) string {
				return fmt.Sprintf(format, name, r.t, r.v*volts, r.i*amps)
			}
			lines := bytesOf(logOf("", func(_ int, r row) string {
				return one(names[0], r, 1, 1) + "\n" + one(names[1], r, 1.04, 0.3)
			}))
			f, err := Fit(head(lines), Options{})
			if format[0] == 'd' && names[0] == "x" {
				continue // no value: labels have numbers
			}
			require.Error(t, err, "%s %v", format, f)
			assert.Contains(t, err.Error(), "take turns", format)
		}
	}
	// What charges by pulses has a word that changes with them, and one battery.
	lines := bytesOf(logOf("time_s,voltage_V,current_A,state", func(k int, r row) string {
		pulse := float64(k % 2)
		return fmt.Sprintf("%.0f,%.3f,%.3f,%s", r.t, r.v+0.4*pulse, r.i*pulse, []string{"OFF", "ON"}[k%2])
	}))
	_, err := Fit(head(lines), Options{})
	require.NoError(t, err)
}

func TestNumbersOfChannels(t *testing.T) {
	lines := bytesOf(logOf("time_s,I1,V1,V2,I2", func(_ int, r row) string {
		return fmt.Sprintf("%.0f,%.3f,%.3f,%.3f,%.3f", r.t, r.i, r.v, r.v*1.04, r.i/3)
	}))
	f, err := Fit(head(lines), Options{})
	require.NoError(t, err)
	assert.Equal(t, "columns separator=comma width=5 time=1:s current=2:A voltage=3:V", f.Setting)
	assert.Equal(t, naming{of: Volts, aside: true}, understand("V_min"), "no minutes")
	assert.Equal(t, "min", understand("t_min").unit.name)
}
