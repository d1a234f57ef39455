package analyze_test

import (
	"slices"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
)

// One row without voltage or current among good ones changes nothing, however many such there are: before a charge,
// in any part of it, or at rest. They are refused, and counted.
func TestAZeroAmongGoodRowsChangesNothing(t *testing.T) {
	for name, o := range map[string]analyze.Options{"unknown": {}, "iron": {Chemistry: analyze.LiFePO4}, "agm": agm17} {
		rows := metered(2, 0.01, 0.01, idle(1800, 13.14), ramp(3*anHour, 13.2, 13.6, 1.5, 1.5), ramp(900, 13.6, 14.2, 1.5, 1.5), fade(anHour, 14.2, 1.5, 500), settle(5*anHour, 14.19, 14.1, 3600))
		want := run(o, rows)
		for _, every := range []int{37, 101, 500} {
			blinking := slices.Clone(rows)
			zeros := 0
			for k := every / 2; k < len(rows)-5; k += every {
				blinking[k].Volts, blinking[k].Amps = 0, 0
				zeros++
			}
			got := run(o, blinking)
			if !assert.Len(t, got.Sessions, 1, "%s, 1 in %d", name, every) {
				continue
			}
			w, g := &want.Sessions[0], &got.Sessions[0]
			assert.Equal(t, codesOf(w), codesOf(g), "%s, 1 in %d", name, every)
			assert.Equal(t, w.Outcome, g.Outcome, "%s, 1 in %d", name, every)
			assert.Equal(t, stageNames(w), stageNames(g), "%s, 1 in %d", name, every)
			assert.InDelta(t, float64(w.EndS), float64(g.EndS), 4, "%s, 1 in %d", name, every)
			assert.InDelta(t, float64(w.ChargeInAh), float64(g.ChargeInAh), 0.01, "%s, 1 in %d", name, every)
			assert.Equal(t, zeros, got.Log.RejectedCount, "%s, 1 in %d", name, every)
		}
	}
}

// A charger that is without mains for some rows is not left out, nor is a battery that is gone for a minute.
func TestWhatIsGoneForLongerIsTold(t *testing.T) {
	rows := metered(10, 0.01, 0.01, idle(600, 12.4), ramp(anHour, 12.8, 13.6, 3, 3), steady(60, 0, 0), ramp(anHour, 13.6, 14.2, 3, 3))
	got := run(agm17, rows)
	assert.Contains(t, codesOf(&got.Sessions[0]), analyze.CodeOpenCircuit)
	rows = metered(60, 0.01, 0.01, idle(600, 12.4), ramp(anHour, 12.8, 13.6, 3, 3), steady(60, 0, 0), ramp(anHour, 13.6, 14.2, 3, 3))
	got = run(agm17, rows)
	assert.Zero(t, got.Log.RejectedCount)
}
