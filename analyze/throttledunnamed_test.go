package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// throttled is a battery that nobody named, at some volts after an hour, whose charger grows hot then and gives
// 1.5 A of 6 A from there on. Its voltage stands, or seems to, until the current does, and rises to the limit.
func throttled(volts, limit float64) []analyze.Sample {
	sinks := part{1800, func(t float64) float64 { return volts * (1 + 0.0015*math.Exp(-t/300)) }, line(6, 1.5, 1800)}
	return script(10, idle(600, 0.965*volts), ramp(anHour, 0.985*volts, volts, 6, 6), sinks,
		part{20 * anHour, func(t float64) float64 { return volts + (limit-volts)*math.Pow(t/(20*anHour), 1.3) }, always(1.5)},
		fade(6*anHour, limit, 1.5, 1.5*anHour), after)
}

// Six lead-acid cells would pass for three of lithium that are held too low, and pass those's limit.
func TestAChargerThatGivesWayHoldsNothing(t *testing.T) {
	for name, of := range map[string][2]float64{
		"six of lead-acid": {12.2, 14.4}, "six, nearer to that of lithium": {12.5, 14.4}, "twelve": {24.4, 28.8},
	} {
		d := run(analyze.Options{}, throttled(of[0], of[1]))
		for _, code := range []string{analyze.CodeOverVoltage, analyze.CodeNoTaper} {
			assert.Nil(t, findingIn(d, code), "%s: %v", name, listed(d))
		}
	}
}

// Of three lithium cells the limit is known all the same, once their current has tapered.
func TestLithiumThatTapersIsKnownWhereLeadAcidStands(t *testing.T) {
	d := run(analyze.Options{}, script(10, idle(600, 11), ramp(2*anHour, 11.3, 12.6, 2, 2), fade(1.5*anHour, 12.6, 2, 2400), ramp(anHour, 12.6, 13.2, 0.4, 2), idle(600, 12.7)))
	assert.Equal(t, analyze.LiIon, d.Sessions[0].Chemistry)
	require.NotNil(t, findingIn(d, analyze.CodeOverVoltage), listed(d))
}
