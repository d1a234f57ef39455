package decoders

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A remark with as many commas as the rows is no heading, whatever units it speaks of.
func TestRemarkAboutTheMeterIsNoHeading(t *testing.T) {
	lines := [][]byte{[]byte("# meter: a row every 20 s, steps of 0.001 V and 0.001 A, noise 0.001 V and 0.002 A")}
	for k := range 300 {
		volts, amps := 12.2, 0.002
		if k >= 20 {
			volts, amps = 12.6+float64(k)/400, 2.003
		}
		lines = append(lines, fmt.Appendf(nil, "2026-03-14T2%d:%02d:%02dZ,%.3f,%.3f", k/180, k/3%60, k%3*20, volts, amps))
	}
	f, err := Fit(lines, Options{})
	require.NoError(t, err)
	assert.Equal(t, "columns separator=comma width=3 stamp=1:y-m-d voltage=2:V current=3:A", f.Setting)
}

// A last line that took in the beginning of another tells nothing of the unit of time.
func TestJoinedLastLineLeavesTheUnitOfTime(t *testing.T) {
	for _, last := range []string{"5980990\t13.10\t0.002", "5990\t13.10\t0.002"} {
		var lines [][]byte
		for k := range 600 {
			volts, amps := 12.2+float64(k%3)/100, 0.002
			if k >= 20 && k < 500 {
				volts, amps = 12.6+float64(k)/400, 2.003
			}
			lines = append(lines, fmt.Appendf(nil, "%d\t%.2f\t%.3f", 10*k, volts, amps))
		}
		lines[len(lines)-1] = []byte(last)
		f, err := Fit(lines, Options{})
		require.NoError(t, err)
		assert.Equal(t, "columns separator=tab width=3 time=1:s voltage=2:V current=3:A", f.Setting)
	}
}
