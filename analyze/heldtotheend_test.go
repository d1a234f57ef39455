package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// steep is LiFePO4 on its plateau, and then on its way to 14.4 V, at 15 A.
var steep = []part{idle(300, 13.1), ramp(2*anHour, 13.30, 13.45, 15, 15), ramp(300, 13.45, 14.4, 15, 15)}

const atLimit = 300 + 2*anHour + 300

// The charger ends the charge of LiFePO4 within a minute of its limit, or within some rows: it was held there all
// the same, and the battery is full.
func TestALimitThatLastsForAMomentIsSeen(t *testing.T) {
	for _, c := range []struct{ every, tau, lasts float64 }{
		{1, 8, 20}, {1, 15, 40}, {2, 15, 45}, {5, 20, 50}, {10, 12, 30}, {10, 20, 50}, {10, 20, 40}, {30, 40, 120}, {60, 80, 200},
	} {
		limit := fade(c.lasts, 14.4, 15, c.tau)
		rows := script(c.every, append(steep, limit, settle(anHour, 14.38, 13.5, 900))...)
		s := run(analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4, Capacity: 50 * anHour}, rows).Sessions[0]
		assert.Equal(t, analyze.Complete, s.Outcome, "%+v", c)
		held := stageOf(&s, analyze.ConstantVoltage)
		require.NotNil(t, held, "%+v", c)
		assert.InDelta(t, 14.4, float64(s.HeldV), 0.002, "%+v", c)
		assert.InDelta(t, atLimit, float64(held.StartS), c.every+2, "%+v", c)
		assert.Empty(t, s.Findings, "%+v", c)
	}
}

// What takes the current away within some rows takes the voltage along, or had not been on its way to a limit.
func TestWhatFadesIsNoLimit(t *testing.T) {
	fading := func(from, to float64) part { return ramp(50, from, to, 14, 4) }
	for name, parts := range map[string][]part{
		"a source that fades, and the battery's voltage with it": append(steep, fading(14.38, 14.3)),
		"one that fades on the plateau":                          {idle(300, 13.1), ramp(2*anHour, 13.30, 13.31, 15, 15), fading(13.31, 13.307)},
		"a charger that throttles":                               append(steep, ramp(50, 14.4, 14.4, 14, 11)),
	} {
		s := run(lfp, script(5, append(parts, settle(anHour, 13.3, 13.2, 900))...)).Sessions[0]
		assert.Equal(t, analyze.CutShort, s.Outcome, name)
		assert.False(t, analyze.Known(s.HeldV), name)
	}
}

// The tail is the current just before the end, also where it still fell fast.
func TestTheTailIsTheLastThatFlowed(t *testing.T) {
	rows := script(1, append(steep, fade(60, 14.4, 15, 15), settle(anHour, 14.38, 13.5, 900))...)
	s := run(lfp, rows).Sessions[0]
	assert.InEpsilon(t, 15*math.Exp(-59./15), float64(s.TailA), 0.15)
}

// A charger that ends at the tail is not seen below it by a meter with a row every ten seconds. One that is cut off
// well above it is.
func TestAChargerThatEndsAtTheTailIsComplete(t *testing.T) {
	for at, want := range map[float64]analyze.Outcome{1.02: analyze.Complete, 1.1: analyze.Complete, 1.5: analyze.CutShort} {
		tail := 0.05 * 10 // A of 10 Ah
		lasts := 1800 * math.Log(2/(at*tail))
		rows := script(10, idle(300, 3.5), ramp(4*anHour, 3.6, 4.2, 2, 2), fade(lasts, 4.2, 2, 1800), settle(anHour, 4.19, 4.15, 900))
		s := run(analyze.Options{Chemistry: analyze.LiIon, Cells: 1, Capacity: 10 * anHour}, rows).Sessions[0]
		assert.Equal(t, want, s.Outcome, "stopped at %.2f times the tail", at)
		assert.Equal(t, want == analyze.Complete, s.EndedBy == analyze.EndTailCurrent, "stopped at %.2f times the tail", at)
	}
}
