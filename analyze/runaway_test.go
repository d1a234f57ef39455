package analyze_test

import (
	"math"
	"math/rand/v2"
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
		for _, seconds := range []float64{0, 20, 90} {
			assert.NotContains(t, warnings(run(liIon, surging(seconds, every))), analyze.CodeThermalRunaway, "a load, by rows of %.0f s", every)
		}
	}
}

// A load that runs beside a float by turns is a current that comes and goes, where the meter does not show the float's own.
func TestALoadBesideAFloatIsNoRunaway(t *testing.T) {
	gel := analyze.Options{Chemistry: analyze.LeadGel, Cells: 3, Capacity: 7 * anHour}
	night := []part{idle(300, 6.05), ramp(3*anHour, 6.3, 7.11, 0.84, 0.84), fade(1.3*anHour, 7.11, 0.84, 0.9*anHour), settle(600, 7, 6.8, 200)}
	for range 5 {
		night = append(night, steady(3140, 6.795, 0.018), steady(280, 6.795, 0.298))
	}
	for seed := range uint64(20) {
		rows, r := script(30, night...), rand.New(rand.NewPCG(seed, 6))
		for k := range rows {
			rows[k].Volts = rounded(rows[k].Volts+0.001*r.NormFloat64(), 0.001)
			rows[k].Amps = rounded(rows[k].Amps+0.006*r.NormFloat64(), 0.01)
		}
		assert.NotContains(t, warnings(run(gel, rows)), analyze.CodeThermalRunaway)
	}
}
