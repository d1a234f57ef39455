package analyze_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
)

// floated is a charger that steps down to its float minutes after it came to its limit: the current of the battery, which
// is far from full, rises for half an hour while what the large current built up goes, and then falls for hours. more is
// what flows beside that, so many seconds after the step.
func floated(every, noise float64, more func(t float64) float64) []analyze.Sample {
	relaxes := func(t float64) float64 { return 4.6*math.Exp(-t/(5*anHour)) - 2*math.Exp(-t/1500) + more(t) }
	rows := metered(every, 0.01, 0.001, idle(600, 12.3), ramp(2*anHour, 12.9, 14.4, 12, 12), fade(400, 14.4, 12, 2*anHour),
		part{12 * anHour, always(13.5), func(t float64) float64 { return min(relaxes(t), 11.5) }})
	r := rand.New(rand.NewPCG(4, uint64(every)))
	for k := range rows {
		rows[k].Amps = max(rows[k].Amps+noise*r.NormFloat64(), 0)
	}
	return rows
}

func nothing(float64) float64 { return 0 }

// What relaxes after a step down climbs ever more slowly, and is no runaway.
func TestAFloatThatRelaxesIsNoRunaway(t *testing.T) {
	for _, every := range []float64{1, 10, 60} {
		for _, noise := range []float64{0, 0.01, 0.05} {
			for _, o := range []analyze.Options{{}, {Chemistry: analyze.LeadGel, Cells: 6, Capacity: 60 * anHour}} {
				assert.NotContains(t, warnings(run(o, floated(every, noise, nothing))), analyze.CodeThermalRunaway, "rows of %.0f s, noise of %g A", every, noise)
			}
		}
	}
}

// A battery that heats itself takes twice as much every so many seconds, and does so on a float as well: while it still
// relaxes, and after the crest.
func TestARunawayOnAFloatThatRelaxedIsRaised(t *testing.T) {
	const stepped = 600 + 2*anHour + 400
	for _, c := range []struct{ after, doubles, within float64 }{{900, 300, 1500}, {900, 480, 2300}, {anHour, 1500, 2.5 * anHour}, {2 * anHour, 2700, 4 * anHour}} {
		heats := func(t float64) float64 {
			if t < c.after {
				return 0
			}
			return 0.15 * (math.Exp2((t-c.after)/c.doubles) - 1)
		}
		for _, every := range []float64{5, 30} {
			m, raised := analyze.New(agm17), math.NaN()
			for _, s := range floated(every, 0.01, heats) {
				for _, e := range m.Step(s) {
					if e.Kind == analyze.FindingRaised && e.Finding.Code == analyze.CodeThermalRunaway && !(raised > 0) {
						raised = s.At
					}
				}
			}
			assert.Greater(t, raised, stepped+c.after, "after %.0f s, doubling in %.0f s", c.after, c.doubles)
			assert.Less(t, raised, stepped+c.after+c.within, "after %.0f s, doubling in %.0f s, rows of %.0f s", c.after, c.doubles, every)
		}
	}
}
