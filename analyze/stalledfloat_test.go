package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// touched is a charger that steps down to 13.3 V two minutes after it came to its limit, where the current then goes as given,
// and the voltage by so many volts for each ampere.
func touched(perAmp float64, amps func(t float64) float64) []analyze.Sample {
	volts := func(t float64) float64 { return 13.3 + perAmp*amps(t) }
	return metered(10, 0.01, 0.001, idle(600, 12.3), ramp(1.5*anHour, 12.9, 14.2, 12, 12), steady(120, 14.2, 12), part{11 * anHour, volts, amps})
}

// A float that was begun early takes a fifth of the full current by and by, and less, and is no charge that stalls.
func TestAFloatThatFadesIsNoTrickle(t *testing.T) {
	fades := func(t float64) float64 { return 4.3*math.Exp(-t/(3.5*anHour)) - 1.5*math.Exp(-t/1500) }
	stays := func(t float64) float64 { return max(fades(t), 1.5) }
	for _, o := range []analyze.Options{{}, {Chemistry: analyze.LeadGel, Cells: 6, Capacity: 60 * anHour}} {
		assert.NotContains(t, warnings(run(o, touched(0, fades))), analyze.CodeStalled)
		assert.Contains(t, warnings(run(o, touched(0.1, stays))), analyze.CodeStalled, "a charger that gives way to heat")
	}
}
