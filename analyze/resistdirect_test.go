package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// polarised is 50 mohm before a double layer of 30 mohm and 12 s and one of 40 mohm and 300 s: 2 A
// into it after ten minutes without, in rows so many seconds apart, the first of which comes lag later.
func polarised(every, lag float64) []analyze.Sample {
	var rows []analyze.Sample
	for t := lag; t < 3600; t += every {
		amps, over := 0.0, 0.0
		if on := t - 600; on >= 0 {
			amps, over = 2, answered(on)-0.050
		}
		flicker := float64(len(rows)*7%3-1) / 1000
		rows = append(rows, analyze.Sample{At: t, Volts: math.Round((12.4+amps*(0.050+over))*1e3) / 1e3, Amps: amps + flicker, Celsius: 25})
	}
	return rows
}

// answered is that resistance with what has polarised after a time, ohm.
func answered(t float64) float64 {
	return 0.050 + 0.030*(1-math.Exp(-t/12)) + 0.040*(1-math.Exp(-t/300))
}

func TestDirectResistanceIsTheSameInAnyRows(t *testing.T) {
	for every, seconds := range map[float64]float64{1: 20, 2: 20, 5: 20, 10: 20, 15: 60, 30: 60, 60: 120} {
		for _, lag := range []float64{0.1, 0.5, 0.9} {
			s := run(analyze.Options{}, polarised(every, lag*every)).Sessions[0]
			require.Len(t, s.DirectResistance, 1, "rows of %g s", every)
			r := s.DirectResistance[0]
			assert.InDelta(t, seconds, float64(r.Seconds), 0, "rows of %g s", every)
			assert.InDelta(t, answered(seconds), float64(r.Ohm), float64(r.OhmU95), "rows of %g s, lag %g", every, lag)
			assert.Less(t, float64(r.OhmU95), 0.15*float64(r.Ohm), "rows of %g s", every)
			assert.InDelta(t, 600, float64(r.AtS), every/2)
			assert.InDelta(t, 2, float64(r.ToA), 1e-3)
		}
	}
	assert.Empty(t, run(analyze.Options{}, polarised(120, 60)).Sessions[0].DirectResistance, "rows too far apart")
	assert.Empty(t, run(analyze.Options{}, polarised(1, 598)).Sessions[0].DirectResistance, "nothing was seen before it")
}

// A charger that creeps up to its current shows no step.
func TestNoDirectResistanceOfASoftStart(t *testing.T) {
	rows := polarised(10, 5)
	for k := range rows {
		if on := rows[k].At - 600; on > 0 && on < 300 {
			rows[k].Amps *= on / 300
			rows[k].Volts = 12.4 + (rows[k].Volts-12.4)*on/300
		}
	}
	assert.Empty(t, run(analyze.Options{}, rows).Sessions[0].DirectResistance)
}

// A meter of 0.1 V does not tell 0.1 V of answer.
func TestNoDirectResistanceOfACoarseMeter(t *testing.T) {
	rows := polarised(10, 5)
	for k := range rows {
		rows[k].Volts = math.Round(rows[k].Volts*10) / 10
	}
	assert.Empty(t, run(analyze.Options{}, rows).Sessions[0].DirectResistance)
}

// What the battery fills in those seconds is no resistance, and lies within the uncertainty.
func TestDirectResistanceOfABatteryThatFills(t *testing.T) {
	for _, every := range []float64{1, 10} {
		rows := polarised(every, every/2)
		for k := range rows {
			rows[k].Volts += 0.0002 * max(rows[k].At-600, 0)
		}
		s := run(analyze.Options{}, rows).Sessions[0]
		require.Len(t, s.DirectResistance, 1)
		assert.InDelta(t, answered(20), float64(s.DirectResistance[0].Ohm), float64(s.DirectResistance[0].OhmU95), "rows of %g s", every)
	}
}
