package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// Lithium that nobody named is charged in the frost: what it is shows only as it comes to its limit, but the alarm
// tells since when it was too cold, and when it thawed.
func TestFrostIsDatedToWhereItBegan(t *testing.T) {
	rows := script(10, idle(600, 19.8), ramp(3*anHour, 21.6, 24.9, 0.5, 0.5), fade(2*anHour, 24.9, 0.5, 0.5*anHour), idle(600, 24.7))
	for k := range rows {
		rows[k].Celsius = -4
		if rows[k].At > 4.5*anHour {
			rows[k].Celsius = 6
		}
	}
	s := run(analyze.Options{}, rows).Sessions[0]
	require.Equal(t, analyze.LiIon, s.Chemistry)
	require.Contains(t, codesOf(&s), analyze.CodeUnderTemperature)
	for _, f := range s.Findings {
		if f.Code == analyze.CodeUnderTemperature {
			assert.InDelta(t, 600, float64(f.AtS), 60)
			assert.InDelta(t, 4.5*anHour, float64(f.EndS), 60)
		}
	}
}
