package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A float of two milliamperes that the meter does not show: the battery rests from when the
// charger let go of it, not from when its current was last seen.
func TestARestBeginsWhenTheChargerLetsGo(t *testing.T) {
	for _, held := range []float64{0, 20 * 60, 5 * anHour} {
		rest := settle(2*anHour, 13.0, 12.75, 1500)
		rows := metered(10, 0.001, 0.001, ramp(3*anHour, 12.6, 14.4, 0.7, 0.7), fade(anHour, 14.4, 0.7, 0.25*anHour), steady(held, 13.6, 0.002), rest)
		for k := range rows {
			rows[k].Volts = rounded(rows[k].Volts+0.004*math.Sin(float64(k*k)), 0.001)
		}
		r := run(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 7 * 3600}, rows).Sessions[0].Rest
		require.NotNil(t, r)
		assert.InDelta(t, 12.75, float64(r.SettledV), 0.05, "held for %g s: %s", held, r.Method)
		assert.Less(t, float64(r.SettledVU95), 0.15, "held for %g s", held)
		if held > 0 {
			assert.InDelta(t, 2*anHour, float64(r.DurationS), 15)
			assert.Contains(t, r.Method, "let go of it")
		}
	}
}

// One reading that is off, and a voltage that settles by itself however late it is looked at,
// begin no rest anew.
func TestWhatLetsGoOfNoBattery(t *testing.T) {
	for name, spoil := range map[string]func(rows []analyze.Sample){
		"as it is":    func([]analyze.Sample) {},
		"one odd row": func(rows []analyze.Sample) { rows[len(rows)-300].Volts -= 0.3 },
		"a warm room grows cold": func(rows []analyze.Sample) {
			for k := range rows {
				rows[k].Volts -= 0.02 * float64(k) / float64(len(rows))
			}
		},
		"a hole in it": func(rows []analyze.Sample) { copy(rows[len(rows)-500:], rows[len(rows)-450:]) },
	} {
		rows := metered(10, 0.001, 0.001, ramp(3*anHour, 12.6, 14.4, 0.7, 0.7), fade(anHour, 14.4, 0.7, 0.25*anHour), settle(2*anHour, 14.2, 12.75, 900))
		spoil(rows)
		r := run(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 7 * 3600}, rows).Sessions[0].Rest
		require.NotNil(t, r)
		assert.NotContains(t, r.Method, "let go", name)
	}
}

// A small battery sinks over minutes when it is let go of, from row to row by no more than a battery at rest may.
func TestARestBeginsWhereASmallBatterySinksSlowly(t *testing.T) {
	for _, held := range []float64{anHour, 4 * anHour} {
		rows := metered(10, 0.01, 0.01, ramp(3*anHour, 25.2, 28.8, 0.7, 0.7), fade(2*anHour, 28.8, 0.7, 0.25*anHour), steady(held, 27.2, 0.002), settle(2.5*anHour, 27.2, 25.58, 400))
		for k := range rows {
			rows[k].Volts = rounded(rows[k].Volts+0.004*math.Sin(float64(k*k)), 0.01)
		}
		r := run(analyze.Options{Chemistry: analyze.LeadFlooded, Cells: 12, Capacity: 7 * 3600}, rows).Sessions[0].Rest
		require.NotNil(t, r)
		assert.InDelta(t, 25.58, float64(r.SettledV), 0.05, "held for %g s: %s", held, r.Method)
		assert.Less(t, float64(r.SettledVU95), 0.2, "held for %g s", held)
		assert.Contains(t, r.Method, "let go of it")
		assert.InDelta(t, 2.5*anHour, float64(r.DurationS), 0.15*held+60)
	}
}
