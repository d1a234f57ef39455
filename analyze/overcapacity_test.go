package analyze_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// A shorted cell makes heat of what goes in: three findings tell of it, and a fourth would say the same
// once more. As long as the battery is not hot, where it goes is not known.
func TestWhatIsKnownToBecomeHeatIsNoNewsOfItsAmpereHours(t *testing.T) {
	for celsius, told := range map[float64]bool{52: false, 48: true} {
		rows := script(10, idle(600, 10.5), ramp(600, 11.2, 11.8, 5, 5), steady(6*anHour, 11.8, 5))
		m := analyze.New(agm17)
		for _, s := range warmed(rows, func(t float64) float64 { return min(25+t/300, celsius) }) {
			m.Step(s)
		}
		got := codesOf(&m.Document().Sessions[0])
		for _, code := range []string{analyze.CodeVoltageNotReached, analyze.CodeStalled} {
			assert.Contains(t, got, code, "at %g °C", celsius)
		}
		assert.Equal(t, !told, slices.Contains(got, analyze.CodeOverTemperature), "at %g °C", celsius)
		assert.Equal(t, told, slices.Contains(got, analyze.CodeOverCapacity), "at %g °C", celsius)
	}
}
