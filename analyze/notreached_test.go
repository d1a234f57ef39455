package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// Twelve lead-acid cells of 40 Ah on 4 A: eleven that gas stand where twelve would if they
// just began to, so the voltage does not clear them of a short.
func standing(volts float64) []analyze.Sample {
	return script(60, idle(600, 24.2), ramp(9*anHour, 24.8, volts, 4, 4), ramp(6*anHour, volts, volts-0.03, 4, 4))
}

var twelve = analyze.Options{Chemistry: analyze.LeadAGM, Cells: 12, Capacity: 40 * anHour}

func TestOneOfTwelveCellsMayBeShortedThoughTheOthersGas(t *testing.T) {
	d := run(twelve, standing(28.5))
	f := findingIn(d, analyze.CodeVoltageNotReached)
	require.NotNil(t, f, listed(d))
	assert.InDelta(t, 600+12*anHour, float64(f.AtS), 120)
	stalled := findingIn(d, analyze.CodeStalled)
	require.NotNil(t, stalled)
	assert.Contains(t, stalled.Message, "one of its cells is shorted")
}

func TestNoCellIsMissingWhereElevenCouldNotStand(t *testing.T) {
	d := run(twelve, standing(31))
	assert.Nil(t, findingIn(d, analyze.CodeVoltageNotReached), listed(d))
}

func TestNoCellIsMissingWhereAllStandNearTheirLimit(t *testing.T) {
	rows := script(60, idle(600, 12.2), ramp(16*anHour, 12.6, 14.4, 4, 4), fade(2*anHour, 14.4, 4, anHour))
	of := twelve
	of.Cells = 6
	f := findingIn(run(of, rows), analyze.CodeVoltageNotReached)
	require.NotNil(t, f, "48 Ah are in before it nears its limit")
	assert.InDelta(t, 600+16*anHour*(14.1-12.6)/1.8, float64(f.EndS), 300, "it clears once all cells gas")
	assert.NotContains(t, f.Message, "14.4")
}

// A battery that holds a sixth more than its label says, on a slow charge, comes to its limit that
// much later, and steeply.
func TestNoCellIsMissingInABatteryBetterThanItsLabel(t *testing.T) {
	for full, missing := range map[float64]bool{1.17: false, 1.3: true} {
		rows := script(60, idle(600, 12.2), ramp((full*10-0.5)*anHour, 12.6, 13.6, 4, 4), ramp(anHour/2, 13.6, 14.4, 4, 4), fade(anHour/2, 14.4, 4, 1200))
		of := twelve
		of.Cells = 6
		d := run(of, rows)
		assert.Equal(t, missing, findingIn(d, analyze.CodeVoltageNotReached) != nil, "%g of its label: %v", full, listed(d))
	}
}
