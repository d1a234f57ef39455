package analyze_test

import (
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Half a day without rows may begin in the first minute of a charge, of the first one or of a
// later one: that ends no other charge a second time.
func TestHalfADayWithoutRowsInTheFirstMinute(t *testing.T) {
	first := []part{before, current, voltage, after}
	for name, parts := range map[string][]part{"the first": {idle(600, 12.4)}, "a later one": append(first, idle(anHour, 12.9), steady(300, 11.9, -5))} {
		length := 0.0
		for _, p := range parts {
			length += p.seconds
		}
		rows := script(10, append(parts, steady(60, 12.6, 5), idle(13*anHour, 12.6), ramp(anHour, 12.6, 13.0, 5, 5))...)
		rows = without(rows, length+60, length+60+13*anHour)
		m, over := analyze.New(analyze.Options{}), map[string]int{}
		for _, s := range rows {
			for _, e := range m.Step(s) {
				if e.Kind == analyze.SessionOver {
					over[e.Session.ID]++
				}
			}
		}
		d := m.Document()
		require.NotEmpty(t, d.Sessions, name)
		assert.Equal(t, analyze.Running, d.Sessions[len(d.Sessions)-1].Outcome, name)
		for id, times := range over {
			assert.Equal(t, 1, times, "%s: %s", name, id)
		}
	}
}

// A charger that pauses by habit is in no longer a pause where nobody looked for two hours.
func TestAHoleThatBeginsInAPauseByHabitCutsNoCharge(t *testing.T) {
	parts := []part{before}
	for k := range 20 {
		v := 12.6 + 0.08*float64(k)
		parts = append(parts, ramp(anHour/2-60, v, v+0.08, 5, 5), idle(60, v))
	}
	hole := 600 + 6*anHour/2 - 30 // in the sixth pause
	rows := without(script(10, append(parts, voltage, after)...), hole, hole+2*anHour+900)
	assert.Len(t, run(analyze.Options{}, rows).Sessions, 1)
}
