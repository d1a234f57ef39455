package analyze_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// shown is what a meter makes of a script whose zero is off by so many amperes, with so much noise.
func shown(seed uint64, zero, noise float64, rows []analyze.Sample) []analyze.Sample {
	chance := rand.New(rand.NewPCG(seed, 0x2e70))
	for k := range rows {
		rows[k].Amps = rounded(rows[k].Amps+zero+noise*chance.NormFloat64(), 0.001)
		rows[k].Volts = rounded(rows[k].Volts+0.003*chance.NormFloat64(), 0.01)
	}
	return rows
}

var flooded35 = analyze.Options{Chemistry: analyze.LeadFlooded, Cells: 6, Capacity: 35 * anHour}

// A battery stands without a charger beside a meter that is off: whatever that shows, no charge begins, and
// none is ever told.
func TestNothingFlowsIntoABatteryThatStands(t *testing.T) {
	for _, zero := range []float64{0.003, 0.005, 0.0084, 0.012} {
		for seed := range uint64(6) {
			for _, o := range []analyze.Options{{}, flooded35} {
				name := fmt.Sprintf("%g A, seed %d, %g Ah", zero, seed, o.Capacity/anHour)
				m := analyze.New(o)
				for _, r := range shown(seed, zero, 0.003+0.0005*float64(seed), script(1, idle(2400, 12))) {
					for _, e := range m.Step(r) {
						require.NotEqual(t, analyze.SessionBegan, e.Kind, "%s, at %g s", name, r.At)
					}
				}
				d := m.Document()
				require.Len(t, d.Sessions, 1, name)
				assert.Equal(t, analyze.NoCharge, d.Sessions[0].Outcome, name)
				_, starting := m.Starting()
				assert.False(t, starting, name)
				assert.True(t, m.Idle(), "%s: nobody need hear of a meter that is switched off then", name)
			}
		}
	}
}

// The wait before a charge is none beside the same meter, and no current has dropped.
func TestAMeterThatIsOffMakesNoChargeOfTheWaitBeforeOne(t *testing.T) {
	for seed := range uint64(20) {
		rows := shown(seed, 0.006, 0.008, script(1, idle(2400, 21.15), ramp(anHour, 22, 25.2, 9.1, 9.1), fade(anHour, 25.2, 9.1, 600), settle(anHour, 25.1, 25, 600)))
		d := run(analyze.Options{}, rows)
		require.Len(t, d.Sessions, 1, "seed %d", seed)
		assert.Empty(t, warnings(d), "seed %d", seed)
		assert.InDelta(t, 2400, float64(d.Sessions[0].StartS), 20, "seed %d", seed)
	}
}

// As small a current is a charge where it was seen to begin, or to end, where the voltage rises with it, and where it
// stands as no battery does by itself.
func TestASmallCurrentIsACharge(t *testing.T) {
	trickle := steady(2*anHour, 12.3, 0.010)
	for name, parts := range map[string][]part{
		"it begins":               {idle(600, 12.3), trickle},
		"it ends":                 {trickle, idle(300, 12.3)},
		"the voltage rises":       {ramp(2*anHour, 12.2, 12.5, 0.010, 0.010)},
		"held above what it has":  {steady(2*anHour, 13.6, 0.010)},
		"twenty milliamperes":     {steady(2*anHour, 12.3, 0.020)},
		"begins and tails off":    {idle(600, 12.8), ramp(600, 13, 13.6, 0.5, 0.4), fade(anHour, 13.6, 0.4, 600)},
		"of a cell, seen to rise": {idle(60, 3.6), ramp(anHour, 3.7, 4.2, 0.008, 0.008)},
	} {
		o := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 4 * anHour}
		if parts[0].volts(0) < 10 {
			o = analyze.Options{Chemistry: analyze.LiIon, Cells: 1, Capacity: 0.04 * anHour}
		}
		d := run(o, shown(1, 0.002, 0.001, script(5, parts...)))
		require.Len(t, d.Sessions, 1, name)
		assert.NotEqual(t, analyze.NoCharge, d.Sessions[0].Outcome, name)
	}
}

// Of one that was seen to be a charge only as it ended, what went in is asked all the same.
func TestASmallChargeThatIsSeenAsItEndsIsJudged(t *testing.T) {
	d := run(analyze.Options{Capacity: 0.04 * anHour}, shown(1, 0.002, 0.001, script(5, steady(8*anHour, 3.9, 0.010), idle(600, 3.9))))
	require.Len(t, d.Sessions, 1)
	assert.NotNil(t, findingIn(d, analyze.CodeOverCapacity), listed(d))
	assert.Nil(t, findingIn(d, analyze.CodeCurrentDropped), "more than it needs has gone in: %s", listed(d))
}
