package decoders

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Before a charge begins, the current is what flickers about nought, and not a temperature.
func TestACurrentAtRest(t *testing.T) {
	var lines [][]byte
	for k := range 20 {
		celsius := []int{181, 180, 180, 180, 179, 180}[k%6]
		lines = append(lines, fmt.Appendf(nil, "%d;12.%d;%.3f;%.1f", 10*k, 100+k*7%5, 0.001*float64(k%5/3), float64(celsius)/10))
	}
	f, err := Fit(lines, Options{Live: true})
	require.NoError(t, err)
	assert.Contains(t, f.Setting, "voltage=2:V current=3:A")
}

// A count that begins at nought is no temperature, whatever it comes to.
func TestACountIsNoTemperature(t *testing.T) {
	lines := bytesOf(logOf("", func(k int, r row) string {
		return fmt.Sprintf("%.0f,%.3f,%.3f,%.2f", r.t, r.v, r.i, 8*float64(k)/2520)
	}))
	f, err := Fit(head(lines), Options{})
	require.NoError(t, err)
	assert.NotContains(t, f.Columns, "temperature")
	assert.Equal(t, "s", understand("second_of_day").unit.name)
}
