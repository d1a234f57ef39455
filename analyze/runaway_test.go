package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
)

// What a full battery gasses away doubles with ten degrees, whoever warms it: a room does so slowly.
func TestARoomThatWarmsByDayIsNoRunaway(t *testing.T) {
	taper := fade(3*anHour, 14.4, 5, 1.3*anHour)
	warming := func(hours float64) []string {
		so := func(t float64) float64 { return max(0, min(t/(hours*anHour), 1)) }
		gas := part{8 * anHour, always(14.4), func(t float64) float64 { return 0.5 * (1 + 0.19*so(t)) }}
		return warnings(run(agm17, warmed(script(10, before, current, taper, gas), func(t float64) float64 { return 20 + 4*so(t-7*anHour) })))
	}
	assert.NotContains(t, warming(8), analyze.CodeThermalRunaway)
	assert.Contains(t, warming(2), analyze.CodeThermalRunaway, "four degrees in two hours")
}

// surging is the usual charge of lithium, whose current at the limit grows threefold in so many seconds, by rows so many
// seconds apart, and then stays: the charger gives no more.
func surging(seconds, every float64) []analyze.Sample {
	low := 5 * math.Exp(-1.2)
	up := part{seconds, always(12.6), func(t float64) float64 { return low * math.Exp2(math.Log2(3)*t/seconds) }}
	return script(every, idle(600, 11), ramp(2*anHour, 11.2, 12.6, 5, 5), fade(1.2*anHour, 12.6, 5, anHour), up, steady(1800, 12.5, 3*low))
}

// Lithium that runs away takes minutes. A load that is switched on takes none.
func TestAClimbOfMinutesIsARunaway(t *testing.T) {
	const begins = 600 + 3.2*anHour
	for _, c := range []struct {
		seconds, every, within float64
	}{{220, 5, 330}, {360, 5, 330}, {540, 10, 400}, {540, 60, 540}, {850, 30, 540}} {
		for _, o := range []analyze.Options{{}, liIon} {
			m, raised := analyze.New(o), math.NaN()
			for _, s := range surging(c.seconds, c.every) {
				for _, e := range m.Step(s) {
					if e.Kind == analyze.FindingRaised && e.Finding.Code == analyze.CodeThermalRunaway {
						raised = s.At
						assert.InDelta(t, begins, float64(e.Finding.AtS), 120, "since, climbing for %.0f s", c.seconds)
					}
				}
			}
			assert.Less(t, raised, begins+c.within, "climbing for %.0f s, by rows of %.0f s", c.seconds, c.every)
			assert.Contains(t, warnings(m.Document()), analyze.CodeThermalRunaway, "and it stays")
		}
	}
	for _, every := range []float64{5, 10, 30, 60} {
		for _, seconds := range []float64{0, 20} {
			assert.NotContains(t, warnings(run(liIon, surging(seconds, every))), analyze.CodeThermalRunaway, "a load, by rows of %.0f s", every)
		}
	}
}
