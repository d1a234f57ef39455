package analyze_test

import (
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Near full lithium-ion's slope is much the same for all makes. Where it is still flat
// shortly before the limit, it is about to become steep, and the limit is nearer than a
// straight line says.
func TestForecastOfLithiumThatIsStillFlat(t *testing.T) {
	rows := script(10, idle(600, 3.50), ramp(3*anHour, 3.60, 4.10, 0.6, 0.6), ramp(0.7*anHour, 4.10, 4.16, 0.6, 0.6))
	now := 600 + 3.7*anHour
	f := forecastAt(analyze.Options{Chemistry: analyze.LiIon, Cells: 1, Capacity: 3 * anHour}, rows, now)
	require.NotNil(t, f)
	assert.Less(t, float64(f.FinishS)-now, 0.8*anHour, "by what it needs and a straight line it would be 0.9 h")
}
