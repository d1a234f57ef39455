package decoders

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A row's number and its volts are no date, so that a battery of twelve volts which is found charging is not taken
// for one of twelve thousand. The rows are invented.
func TestRowAndVoltsAreNoDate(t *testing.T) {
	lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
	for k := range 41 {
		lines = append(lines, fmt.Appendf(nil, "%d,%.3f,3.500", k, 12+0.001*float64(k)))
	}
	for _, many := range []int{9, 20, 42} {
		fitted, err := Fit(lines[:many], Options{Live: true})
		require.NoError(t, err)
		assert.Equal(t, "columns separator=comma width=3 time=1:s voltage=2:V current=3:A", fitted.Setting, "%d lines", many)
	}
	for _, text := range []string{"10,12.010,3.500", "1,12.26", "10.12.010"} {
		assert.Zero(t, timeLength([]byte(text)), text)
	}
	for text, n := range map[string]int{"14.03.2026 21:40:05": 19, "14/03/26,21:40:05": 17} {
		assert.Equal(t, n, timeLength([]byte(text)), text)
	}
}
