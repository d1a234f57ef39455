package analyze_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// A meter whose zero is off shows a current for ever, yet the charge ends, and the battery
// rests, when they do: whether the zero showed before the charge or not.
func TestAMeterWithItsZeroOffIsNoTrickle(t *testing.T) {
	parts := []part{ramp(3*anHour, 12.6, 14.4, 2, 2), fade(2*anHour, 14.4, 2, 0.5*anHour), settle(3*anHour, 14, 12.9, 1200)}
	for name, parts := range map[string][]part{"at once": parts, "after a wait": append([]part{idle(600, 12.4)}, parts...)} {
		for _, zero := range []float64{0.004, 0.01, 0.02} {
			rows := metered(5, 0.001, 0.001, parts...)
			want := run(analyze.Options{}, rows).Sessions
			for k := range rows {
				rows[k].Amps = rounded(rows[k].Amps+zero, 0.001)
			}
			got := run(analyze.Options{}, rows).Sessions
			require.Len(t, got, 1, "%s, %g A", name, zero)
			s, as := &got[0], &want[0]
			assert.Equal(t, stageNames(as), stageNames(s), "%s, %g A", name, zero)
			assert.InDelta(t, float64(as.EndS), float64(s.EndS), 10, "%s, %g A", name, zero)
			require.NotNil(t, s.Rest, "%s, %g A", name, zero)
			assert.InDelta(t, float64(as.Rest.SettledV), float64(s.Rest.SettledV), 0.005, "%s, %g A", name, zero)
			assert.Equal(t, codesOf(as), codesOf(s), "%s, %g A", name, zero)
		}
	}
}

// However long a battery is left to rest, what a meter shows that is off by two digits does not go on to
// charge it: what went in is what the stages of the charge say, and no less sure than in the evening.
func TestAZeroThatIsOffChargesNothingAtRest(t *testing.T) {
	chance := rand.New(rand.NewPCG(5, 5))
	rows := metered(10, 0.01, 0.01, idle(900, 11.4), ramp(anHour, 11.6, 12.6, 2.5, 2.5), fade(2*anHour, 12.6, 2.5, 0.8*anHour), settle(48*anHour, 12.58, 12.55, 1800))
	for k := range rows {
		rows[k].Amps = rounded(rows[k].Amps+0.02+0.006*chance.NormFloat64(), 0.01)
	}
	o := analyze.Options{Chemistry: analyze.LiIon, Cells: 3, Capacity: 5 * anHour}
	evening := run(o, rows[:(900+3*3600+300)/10]).Sessions[0]
	s := run(o, rows).Sessions[0]
	stages := 0.0
	for _, g := range s.Stages {
		stages += float64(g.ChargeAh)
	}
	assert.InDelta(t, stages, float64(s.ChargeInAh), 0.015, "but for what seemed to flow before it")
	assert.InDelta(t, float64(evening.ChargeInAhU95), float64(s.ChargeInAhU95), 0.01)
}

// As small a current that comes only when the voltage has fallen away is one: while it
// fell the meter showed that its zero is none.
func TestAFloatOfTenMilliamperesIsOne(t *testing.T) {
	rows := metered(5, 0.001, 0.001,
		ramp(3*anHour, 12.6, 14.4, 0.7, 0.7), fade(2*anHour, 14.4, 0.7, 0.5*anHour), ramp(600, 14.2, 13.6, 0, 0), steady(6*anHour, 13.6, 0.010))
	s := run(analyze.Options{}, rows).Sessions[0]
	assert.Equal(t, analyze.Finish, s.Stages[len(s.Stages)-1].Stage)
	assert.Nil(t, s.Rest)
	assert.InDelta(t, rows[len(rows)-1].At, float64(s.EndS), 10)
}

// A charge that begins gently, to wake a cell that is flat, has not shown the meter's zero.
func TestAGentleBeginningIsNoZero(t *testing.T) {
	rows := metered(5, 0.001, 0.001, ramp(1800, 2.5, 3.0, 0.1, 0.1), ramp(3*anHour, 3.3, 4.2, 2.5, 2.5), fade(2.2*anHour, 4.2, 2.5, 1800), settle(anHour, 4.19, 4.17, 1200))
	s := run(analyze.Options{Chemistry: analyze.LiIon, Cells: 1, Capacity: 10 * 3600}, rows).Sessions[0]
	assert.Equal(t, analyze.Complete, s.Outcome)
	assert.InDelta(t, 1800+5.2*anHour, float64(s.EndS), 10, "down to the 31 mA at which the charger ended")
}

// Between two batteries the leads hang free: what the meter shows then is not how empty the
// next battery was.
func TestFreeLeadsAreNoFlatBattery(t *testing.T) {
	charge := []part{ramp(2*anHour, 12.6, 14.4, 3, 3), fade(2*anHour, 14.4, 3, 0.5*anHour)}
	for _, off := range [][]part{{idle(40, 0.01)}, {idle(15, 0.01)}, {idle(15, 0.01), idle(10, 12.6)}} {
		parts := append(append(append([]part{}, charge...), off...), charge...)
		list := run(analyze.Options{Chemistry: analyze.LeadFlooded, Cells: 6, Capacity: 100 * 3600}, metered(5, 0.001, 0.001, parts...)).Sessions
		require.Len(t, list, 2)
		for _, f := range list[1].Findings {
			assert.Equal(t, analyze.Note, f.Severity, "%s: %s", f.Code, f.Message)
		}
	}
}

// A supply that is set too low ends with a current that has tapered off, and a battery that
// is not full.
func TestAHeldVoltageThatFillsNoLeadIsToldSo(t *testing.T) {
	for volts, low := range map[float64]bool{12.9: true, 13.5: false, 14.4: false} {
		rows := metered(10, 0.001, 0.001, ramp(anHour, 12, volts, 4, 4), fade(6*anHour, volts, 4, anHour))
		s := run(analyze.Options{Chemistry: analyze.LeadFlooded, Cells: 6, Capacity: 45 * 3600}, rows).Sessions[0]
		for _, g := range s.Stages {
			if g.Stage == analyze.ConstantVoltage {
				assert.Equal(t, low, strings.Contains(g.Why, "too little to fill"), g.Why)
			}
		}
		assert.Contains(t, stageNames(&s), analyze.ConstantVoltage, "%g V", volts)
	}
}

// A float of less current than the meter shows: the battery stands at a voltage that it has
// not by itself, and that says nothing of how full it is.
func TestAHeldBatteryDoesNotRest(t *testing.T) {
	for floor, held := range map[float64]bool{12.9: false, 13.05: false, 13.5: true, 13.8: true} {
		rest := part{5 * anHour, func(t float64) float64 { return math.Max(floor, 12.8+1.6*math.Exp(-t/900)) }, always(0)}
		rows := metered(10, 0.01, 0.01, ramp(3*anHour, 12.6, 14.4, 0.7, 0.7), fade(anHour, 14.4, 0.7, 0.5*anHour), rest)
		r := run(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 7 * 3600}, rows).Sessions[0].Rest
		require.NotNil(t, r, "%g V", floor)
		assert.Equal(t, !held, analyze.Known(r.SettledV), "%g V", floor)
		assert.Equal(t, held, strings.Contains(r.Method, "A charger still holds it"), r.Method)
		assert.False(t, held && analyze.Known(r.StateOfCharge), "%g V", floor)
	}
}

// A meter that shows 10 mA out of a battery that is left alone, or into it, does not hide how
// empty it is.
func TestAZeroThatIsOffHidesNoRestVoltage(t *testing.T) {
	for _, zero := range []float64{0, -0.01, 0.01} {
		rows := metered(10, 0.001, 0.001, idle(anHour, 11.4), ramp(anHour, 13.9, 14.4, 2, 2), fade(anHour, 14.4, 2, 0.25*anHour))
		for k := range rows {
			rows[k].Amps = rounded(rows[k].Amps+zero, 0.001)
		}
		s := run(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 50 * 3600}, rows).Sessions[0]
		require.Equal(t, []string{analyze.CodeAcceptsLittle}, codesOf(&s), "%g A", zero)
		assert.Contains(t, s.Findings[0].Message, "11.40 V before the charge", "%g A", zero)
	}
}

// The same meter on a small charge: its zero, a digit above nought now and two the next moment, is
// no charge of its own before the real one, though one of its rows alone is no twentieth of that.
func TestAZeroThatIsOffBeforeASmallChargeIsNoCharge(t *testing.T) {
	for seed := range uint64(12) {
		chance := rand.New(rand.NewPCG(seed, 11))
		rows := metered(5, 0.001, 0.02, ramp(2200, 13.02, 13.065, 0, 0), ramp(3000, 13.5, 14.3, 0.86, 0.86), settle(3600, 14.0, 13.8, 600))
		for k := range rows {
			rows[k].Amps = rounded(rows[k].Amps+0.018+0.01*chance.NormFloat64(), 0.02)
		}
		doc := run(analyze.Options{Capacity: 1.3 * anHour, Chemistry: analyze.NiCd, Cells: 10}, rows)
		require.Len(t, doc.Sessions, 1, "seed %d", seed)
		assert.InDelta(t, 2200, float64(doc.Sessions[0].StartS), 10, "seed %d", seed)
	}
}

// A charge of next to nothing that still goes on when a real one begins has ended with it: only the
// last of a log can be running.
func TestOnlyTheLastChargeOfALogIsRunning(t *testing.T) {
	rows := script(5, idle(600, 12.5), ramp(anHour, 12.6, 13.2, 2, 2), ramp(2*anHour, 12.8, 12.8, 0.12, 0.12), ramp(anHour, 12.9, 13.6, 12, 12))
	doc := run(analyze.Options{Capacity: 5 * anHour, Chemistry: analyze.LeadAGM, Cells: 6}, rows)
	for k, s := range doc.Sessions {
		assert.Equal(t, k == len(doc.Sessions)-1, s.Outcome == analyze.Running, "%d of %d", k, len(doc.Sessions))
		assert.Positive(t, float64(s.ChargeInAh))
	}
}
