package analyze_test

import (
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A battery that was discharged rests low, and its cells are counted as low as they stand: a
// flat one of 12 V has six, not five that are full.
func TestCellsAreCountedAfterADischarge(t *testing.T) {
	for _, c := range []struct {
		name       string
		chemistry  analyze.Chemistry
		under, at  float64
		low, high  float64
		methodSays string
	}{
		{"a flat one of 12 V", analyze.LeadAGM, 10.9, 11.3, 0, 0.05, "State of charge"},
		{"half full", analyze.LeadFlooded, 12.0, 12.24, 0.45, 0.55, "State of charge"},
		{"a flat one of 24 V", analyze.LeadFlooded, 22.4, 23.0, 0, 0.05, "State of charge"},
		{"two li-ion cells", analyze.LiIon, 7.9, 8.1, 0.8, 0.9, "State of charge"},
		{"two of a kind that nobody knows", analyze.LiIon, 7.4, 7.64, 1, 0, "26 to 63 % would all fit"},
		{"ten, or eight", analyze.LiIon, 30, 31, 1, 0, "so is the number of cells"},
		{"nickel", analyze.NiMH, 11.8, 12.4, 1, 0, "is flat and says nothing"},
		{"nobody said", "", 12.0, 12.24, 1, 0, "so is the chemistry"},
	} {
		r := run(analyze.Options{Chemistry: c.chemistry}, script(10, idle(300, c.at+0.2), steady(anHour, c.under, -5), settle(2*anHour, c.under+0.1, c.at, 600))).Sessions[0].Rest
		require.NotNil(t, r, c.name)
		assert.Contains(t, r.Method, c.methodSays, c.name)
		state := float64(r.StateOfCharge)
		require.Equal(t, c.low <= c.high, analyze.Known(state), "%s: %s", c.name, r.Method)
		if analyze.Known(state) {
			assert.True(t, state >= c.low && state <= c.high, "%s: %.2f", c.name, state)
		}
	}
}
