package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// averaging is what a meter shows that averages over so many seconds, a row every two.
func averaging(seconds float64, rows []analyze.Sample) []analyze.Sample {
	volts, amps := rows[0].Volts, rows[0].Amps
	for k := range rows {
		if k > 0 {
			share := 1 - math.Exp(-(rows[k].At-rows[k-1].At)/seconds)
			volts, amps = volts+share*(rows[k].Volts-volts), amps+share*(rows[k].Amps-amps)
		}
		rows[k].Volts, rows[k].Amps = rounded(volts, 0.001), rounded(amps, 0.001)
	}
	return rows
}

// What stops is seen to fade where a meter averages: it passes the tail on its way to nothing, and passes for none.
// Nor does the voltage of leads that hang free, which climbs meanwhile, for one that was reached.
func TestACurrentThatIsCutOffShowsNoFullBattery(t *testing.T) {
	half := ramp(2*anHour, 12.60, 13.2, 5, 5)
	begun := fade(600, 14.4, 5, anHour)
	plateau := ramp(2*anHour, 13.30, 13.36, 5, 5)
	for _, c := range []struct {
		name  string
		of    analyze.Options
		parts []part
		code  string
	}{
		{"it trips in constant current", agm17, []part{before, half, settle(anHour, 12.9, 12.7, 600)}, analyze.CodeCurrentDropped},
		{"on a plateau, of nobody knows what", analyze.Options{}, []part{idle(600, 13.1), plateau, settle(anHour, 13.32, 13.3, 600)}, analyze.CodeCurrentDropped},
		{"at the held voltage", agm17, []part{before, current, begun, settle(anHour, 14.0, 13.2, 600)}, analyze.CodeCurrentDropped},
		{"a lead is off in constant current", agm17, []part{before, half, idle(anHour, 14.6)}, analyze.CodeOpenCircuit},
		{"nobody knows of what", analyze.Options{}, []part{before, half, idle(anHour, 14.6)}, analyze.CodeOpenCircuit},
		{"no farther than the limit would have been", lfp, []part{idle(600, 13.1), plateau, idle(anHour, 14.6)}, analyze.CodeOpenCircuit},
	} {
		for _, seconds := range []float64{0.1, 1, 3} {
			d := run(c.of, averaging(seconds, script(2, c.parts...)))
			require.Len(t, d.Sessions, 1, c.name)
			s := &d.Sessions[0]
			assert.NotEqual(t, analyze.Complete, s.Outcome, "%s, averaged over %.1f s", c.name, seconds)
			assert.Equal(t, []string{c.code}, warnings(d), "%s, averaged over %.1f s", c.name, seconds)
		}
	}
}

// LiFePO4 at the steep end of its curve falls to 1/e within a quarter of a minute, and is full.
func TestASteepTaperIsNoCut(t *testing.T) {
	for _, tau := range []float64{15, 30, 60} {
		full := fade(5*tau, 14.4, 5, tau)
		d := run(lfp, averaging(1, script(2, idle(600, 13.1), ramp(3*anHour, 13.30, 13.40, 5, 5), ramp(600, 13.4, 14.4, 5, 5), full, settle(anHour, 14.2, 13.5, 300))))
		assert.Equal(t, analyze.Complete, d.Sessions[0].Outcome, "%.0f s", tau)
		assert.Equal(t, analyze.EndTailCurrent, d.Sessions[0].EndedBy, "%.0f s", tau)
		assert.Empty(t, warnings(d), "%.0f s", tau)
	}
}

// Leads that hang free before the battery is put on: their last digit says nothing, nor does what they pick up.
// And a battery the wrong way round stands below nothing, without any jump.
func TestLastDigitsOfNothingAreNoJumps(t *testing.T) {
	digits := part{600, func(t float64) float64 { return 0.01 * math.Sin(7*t) }, always(0)}
	for _, of := range []analyze.Options{{}, agm17} {
		rows := metered(2, 0.01, 0.001, digits, before, current, voltage, after)
		assert.Empty(t, warnings(run(of, rows)))
		assert.NotContains(t, warnings(run(of, averaging(3, rows))), analyze.CodeOpenCircuit, "nor is it more than one when the battery is put on")
		reversed := func(p part) part {
			volts := p.volts
			p.volts = func(t float64) float64 { return -volts(t) + 0.01*math.Sin(7*t) }
			return p
		}
		d := run(of, metered(10, 0.01, 0.001, reversed(idle(600, 12.2)), reversed(ramp(1800, 11.9, 11.0, 2, 1.5)), reversed(idle(600, 11.1))))
		assert.NotContains(t, warnings(d), analyze.CodeOpenCircuit)
		assert.Contains(t, warnings(d), analyze.CodeReversePolarity)
	}
}
