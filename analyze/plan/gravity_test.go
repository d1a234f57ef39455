package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

func TestGravity(t *testing.T) {
	for gravity, state := range map[float64]float64{1.265: 1, 1.225: 0.75, 1.190: 0.50, 1.155: 0.25, 1.120: 0} {
		assert.InDelta(t, state, StateFromGravity(gravity), 1e-9)
		assert.InDelta(t, gravity, gravityFromState(state), 1e-9)
	}
	assert.InDelta(t, 1.254, CorrectGravity(1.250, 32.2), 1e-4, "90 F")
	assert.InDelta(t, 1.246, CorrectGravity(1.250, 21.1), 1e-4, "70 F")
}

// Two army manuals and a vehicle maker; interpolated rows are arithmetic.
func TestFreezingPoint(t *testing.T) {
	for gravity, celsius := range map[float64]float64{1.050: -2.8, 1.100: -7.5, 1.150: -15.0, 1.200: -27, 1.225: -37.2, 1.250: -52.2, 1.265: -59.4, 1.280: -67.8} {
		assert.InDelta(t, celsius, analyze.FreezingPoint(gravity), 0.5, "SG %g", gravity)
	}
	for gravity, celsius := range map[float64]float64{1.120: -10.7, 1.155: -16.2, 1.190: -24.3} {
		assert.InDelta(t, celsius, analyze.FreezingPoint(gravity), 0.1, "SG %g", gravity)
	}
	flat, ok := coldestCharge(analyze.LeadFlooded, 0)
	require.True(t, ok)
	assert.InDelta(t, -10.7, flat, 0.1, "not the -23 C of the consumer table")
}
