package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The synthetic fit test of the reference, section 9:
// V = 12.75 + 0.60 exp(-t/6 min) + 0.35 exp(-t/90 min).
func TestRestCurveFollowsTheRowsAndGoesOn(t *testing.T) {
	volts := func(s float64) float64 { return 12.75 + 0.60*math.Exp(-s/360) + 0.35*math.Exp(-s/5400) }
	var rows []analyze.RestRow
	for at := 5.0; at <= 3*3600; at += 5 {
		rows = append(rows, analyze.RestRow{At: at, Volts: math.Round(1000*volts(at)) / 1000})
	}
	moments := []float64{600, 1800, 3600, 7200, 14400, 28800}
	table := []float64{13.1765, 13.0048, 12.9297, 12.8423, 12.7743, 12.7517} // printed there
	list := analyze.RestCurve(rows, 13.75, moments)
	require.Len(t, list, len(moments))
	for k, f := range list {
		t.Logf("%5.0f s: %.4f V (u95 %.4f), in truth %.4f", f.At, f.Volts, f.U95, table[k])
		assert.Equal(t, moments[k], f.At)
		assert.InDelta(t, table[k], volts(moments[k]), 0.0001)
		assert.InDelta(t, table[k], f.Volts, max(0.003, f.U95))
	}
	assert.Less(t, list[2].U95, list[5].U95, "what is to come is less sure than what was seen")
	assert.Empty(t, analyze.RestCurve(rows[:100], 13.75, moments), "eight minutes say nothing")
	assert.Empty(t, analyze.RestCurve(nil, 13.75, moments))
}
