package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// following is a lead-acid battery of 100 Ah, which takes the current of each half minute. Its
// polarisation follows with a time constant of 25 min, as that of a large one does; what flows once
// it holds so many ampere-hours is lost, as in one that leaks.
func following(hours, most float64, amps func(h float64) float64) []analyze.Sample {
	held, slow := 20.0, 0.0
	var volts, flows []float64
	for k := range int(hours * 120) {
		i := amps(float64(k) / 120)
		held = min(held+i/120, most)
		slow += (0.05*i - slow) * 30 / 1500
		volts, flows = append(volts, 11.8+0.01*held+0.005*i+slow), append(flows, i)
	}
	of := func(x []float64) func(float64) float64 { return func(t float64) float64 { return x[int(t/30+0.5)] } }
	return metered(30, 0.001, 0.001, idle(300, 12), part{hours * anHour, of(volts), of(flows)})
}

// After a pause, or after less current, a battery's voltage is hours behind without being stalled. One
// that gets nowhere is told of all the same once that is over.
func TestVoltagesAreNotComparedAcrossAStepOfTheCurrent(t *testing.T) {
	const late = 4.0 // h
	for name, amps := range map[string]func(h float64) float64{
		"a pause of 20 min": func(h float64) float64 {
			if h > late && h < late+1./3 {
				return 0
			}
			return 10
		},
		"a quarter of the current for two hours": func(h float64) float64 {
			if h > late && h < late+2 {
				return 2.5
			}
			return 10
		},
		"half of it from then on": func(h float64) float64 {
			if h > late {
				return 5
			}
			return 10
		},
	} {
		assert.Empty(t, warnings(run(agm100, following(8, math.Inf(1), amps))), name)
		assert.Contains(t, warnings(run(agm100, following(10, 50, amps))), analyze.CodeStalled, name)
	}
}
