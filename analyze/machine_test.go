package analyze_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// The battery of most scripts: lead-acid, six cells, 17 Ah, charged at 5 A.
var (
	before  = idle(10*60, 12.50)
	current = ramp(3*anHour, 12.60, 14.40, 5, 5)
	voltage = fade(4*anHour, 14.40, 5, anHour)
	after   = settle(2*anHour, 13.60, 12.90, 30*60)
)

// 3 h x 5 A + 5 A h (1 - exp(-4)) = 15 + 4.908421806 Ah; the second term is that of
// the reference, section 11.
const lead17Ah = 15 + 4.908421806

var lastAmps = 5 * math.Exp(-4) // of the fade

func TestPlainChargeHasTheAnswersOfItsArithmetic(t *testing.T) {
	for _, every := range []float64{1, 5, 10, 30, 60} {
		t.Run(fmt.Sprintf("a row every %.0f s", every), func(t *testing.T) {
			d := run(analyze.Options{}, script(every, before, current, voltage, after))
			require.Len(t, d.Sessions, 1)
			s := &d.Sessions[0]
			more := edges(every, 5, lastAmps)
			assert.InDelta(t, lead17Ah+more, float64(s.ChargeInAh), 0.001)
			assert.Zero(t, float64(s.ChargeOutAh))
			// 15 Ah at 13.5 V on average, then the tail at 14.4 V: 202.5 + 70.68127 Wh.
			assert.InDelta(t, 202.5+70.68127+more*12.6, float64(s.EnergyInWh), 0.02)
			assert.InDelta(t, 600, float64(s.StartS), every)
			assert.InDelta(t, 600+7*anHour, float64(s.EndS), every)
			assert.InDelta(t, 600+3*anHour, endOf(s, analyze.ConstantCurrent), max(15, every))
			assert.Equal(t, analyze.Complete, s.Outcome)
			assert.Equal(t, analyze.EndTailCurrent, s.EndedBy)
			assert.InDelta(t, 5, float64(s.SetA), 0.001)
			assert.InDelta(t, 14.4, float64(s.HeldV), 0.001)
			assert.InDelta(t, 14.4, float64(s.PeakV), 0.001)
			assert.InDelta(t, 5*math.Exp(-4), float64(s.TailA), 0.005)
			assert.Equal(t, []analyze.StageName{analyze.Idle, analyze.ConstantCurrent, analyze.ConstantVoltage, analyze.Finish, analyze.Rest}, stageNames(s))
			assert.Empty(t, s.Gaps)
			for _, f := range s.Findings {
				assert.Equal(t, analyze.Note, f.Severity, "%s: %s", f.Code, f.Message)
			}
		})
	}
}

// The stages share out all that flowed, and follow each other without a hole.
func TestStagesAddUpToTheCharge(t *testing.T) {
	d := run(analyze.Options{}, script(10, before, current, voltage, after))
	s := &d.Sessions[0]
	charge, energy := 0.0, 0.0
	for k, g := range s.Stages {
		charge += float64(g.ChargeAh)
		energy += float64(g.EnergyWh)
		assert.NotEmpty(t, g.Why)
		if k > 0 {
			assert.Equal(t, s.Stages[k-1].EndS, g.StartS, "%s begins when the stage before it ends", g.Stage)
		}
	}
	// The half intervals before the first row with current and after the last belong
	// to no stage.
	edge := (5 + lastAmps) * 10.0 / 2 / 3600
	assert.InDelta(t, float64(s.ChargeInAh), charge+edge, 1e-4)
	assert.InDelta(t, float64(s.EnergyInWh), energy+12.6*edge, 1e-2)
	assert.InDelta(t, 15, float64(stageOf(s, analyze.ConstantCurrent).ChargeAh), 0.05)
	assert.InDelta(t, 5, float64(stageOf(s, analyze.ConstantCurrent).MeanA), 0.01)
	assert.InDelta(t, 13.5, float64(stageOf(s, analyze.ConstantCurrent).MeanV), 0.01)
	assert.InDelta(t, 14.4, float64(stageOf(s, analyze.ConstantVoltage).MeanV), 0.001)
}

// The tail: 2 % of 17 Ah is 0.34 A, which 5 A exp(-t/1 h) passes after ln(5/0.34) h =
// 2.6882 h; 0.5 A, as set, after ln(10) h; 5 % of 20 Ah = 1 A after ln(5) h.
func TestTailIsMetWhenTheArithmeticSaysSo(t *testing.T) {
	for _, c := range []struct {
		name    string
		options analyze.Options
		hours   float64
	}{
		{"2 % of 17 Ah", analyze.Options{Capacity: 17 * 3600, Chemistry: analyze.LeadAGM}, math.Log(5 / 0.34)},
		{"0.5 A as set", analyze.Options{Tail: analyze.Tail{Amps: 0.5}}, math.Log(10)},
		{"5 % of 20 Ah as set", analyze.Options{Capacity: 20 * 3600, Tail: analyze.Tail{Fraction: 0.05}}, math.Log(5)},
		{"5 % of 20 Ah, usual for lithium", analyze.Options{Capacity: 20 * 3600, Chemistry: analyze.LiFePO4}, math.Log(5)},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := run(c.options, script(10, before, current, voltage, after))
			assert.InDelta(t, 600+(3+c.hours)*anHour, float64(d.Sessions[0].FinishS), 20)
			assert.Equal(t, analyze.Complete, d.Sessions[0].Outcome)
		})
	}
}

// A soft start: 0 to 5 A in five minutes is 5 min x 2.5 A = 0.2083 Ah.
func TestSoftStartIsPartOfConstantCurrent(t *testing.T) {
	soft := ramp(300, 12.55, 12.60, 0, 5)
	d := run(analyze.Options{}, script(10, before, soft, current, voltage, after))
	require.Len(t, d.Sessions, 1)
	s := &d.Sessions[0]
	assert.InEpsilon(t, lead17Ah+2.5*300/3600, float64(s.ChargeInAh), 1e-4)
	assert.InDelta(t, 600, float64(s.StartS), 20)
	assert.InDelta(t, 900+3*anHour, endOf(s, analyze.ConstantCurrent), 15)
	assert.InDelta(t, 5, float64(s.SetA), 0.001)
}

// 72 W from 12.0 to 14.4 V: the current falls from 6 to 5 A, and the charge over 3 h is
// 72 W x 3 h / 2.4 V x ln(14.4/12) = 16.409 Ah.
func TestConstantPowerIsOneStageAndSaidSo(t *testing.T) {
	d := run(analyze.Options{}, script(10, before, power(3*anHour, 12.0, 14.4, 72), voltage, after))
	require.Len(t, d.Sessions, 1)
	s := &d.Sessions[0]
	assert.InEpsilon(t, 72*3/2.4*math.Log(1.2)+4.908421806+edges(10, 6, lastAmps), float64(s.ChargeInAh), 1e-4)
	assert.InDelta(t, 600+3*anHour, endOf(s, analyze.ConstantCurrent), 20)
	assert.Contains(t, codesOf(s), analyze.CodePowerLimited)
	assert.Equal(t, analyze.Complete, s.Outcome)
}

// A charger that stops for a minute every half hour to look at the open circuit. Six
// pauses of one minute take 6 x 60 s x 5 A = 0.5 Ah.
func TestPausesOfTheChargerAreItsWayOfWorking(t *testing.T) {
	parts := []part{before}
	for k := range 6 {
		v := 12.6 + 0.3*float64(k)
		parts = append(parts, ramp(anHour/2-60, v, v+0.3, 5, 5), idle(60, v))
	}
	parts = append(parts, voltage, after)
	d := run(analyze.Options{}, script(10, parts...))
	require.Len(t, d.Sessions, 1, "one charge, whatever its pauses")
	s := &d.Sessions[0]
	assert.InEpsilon(t, lead17Ah-0.5, float64(s.ChargeInAh), 1e-3)
	assert.Contains(t, codesOf(s), analyze.CodePulsed)
	assert.NotContains(t, codesOf(s), analyze.CodeCurrentDropped)
	assert.InDelta(t, 600+3*anHour, endOf(s, analyze.ConstantCurrent), 70)
	assert.Equal(t, analyze.Complete, s.Outcome)
}

// Pulses of 10 s on and 10 s off: 3 h at 5 A half of the time is 7.5 Ah.
func TestPulsedCurrentIsCountedAsItFlows(t *testing.T) {
	pulsed := current
	pulsed.amps = func(t float64) float64 {
		if math.Mod(t, 20) < 10 {
			return 5
		}
		return 0
	}
	d := run(analyze.Options{}, script(2, before, pulsed, voltage, after))
	require.Len(t, d.Sessions, 1)
	s := &d.Sessions[0]
	assert.InEpsilon(t, 7.5+4.908421806, float64(s.ChargeInAh), 2e-3)
	assert.Equal(t, analyze.Complete, s.Outcome)
}

// The voltage overshoots its limit by 100 mV and comes back within minutes: the peak
// is not the held voltage.
func TestOvershootIsNotTheHeldVoltage(t *testing.T) {
	over := voltage
	over.volts = func(t float64) float64 { return 14.40 + 0.100*math.Exp(-t/90) }
	rise := ramp(3*anHour, 12.60, 14.50, 5, 5)
	d := run(analyze.Options{}, script(10, before, rise, over, after))
	s := &d.Sessions[0]
	assert.InDelta(t, 14.40, float64(s.HeldV), 0.005)
	assert.InDelta(t, 14.50, float64(s.PeakV), 0.011)
	// The voltage touches 14.40 V 1/19 of the rise early, and holds a few minutes late.
	assert.GreaterOrEqual(t, endOf(s, analyze.ConstantCurrent), 600+3*anHour*(1-1.0/19)-60)
	assert.LessOrEqual(t, endOf(s, analyze.ConstantCurrent), 600+3*anHour+120)
	assert.InEpsilon(t, lead17Ah+edges(10, 5, lastAmps), float64(s.ChargeInAh), 1e-4)
}

// A held voltage that drifts by 20 mV to and fro is held all the same.
func TestDriftingVoltageIsHeld(t *testing.T) {
	drift := voltage
	drift.volts = func(t float64) float64 { return 14.40 + 0.020*math.Sin(2*math.Pi*t/7000) }
	d := run(analyze.Options{}, script(10, before, current, drift, after))
	s := &d.Sessions[0]
	assert.Equal(t, []analyze.StageName{analyze.Idle, analyze.ConstantCurrent, analyze.ConstantVoltage, analyze.Finish, analyze.Rest}, stageNames(s))
	assert.InDelta(t, 600+3*anHour, endOf(s, analyze.ConstantCurrent), 60)
	assert.InDelta(t, 14.40, float64(s.HeldV), 0.02)
}

// A panel meter that shows tenths of a volt: the rise shows as 18 steps, and the limit
// is within one of them, ten minutes at 0.1 V in 10 min.
func TestCoarseVoltageStillBends(t *testing.T) {
	d := run(analyze.Options{}, metered(10, 0.1, 0.01, before, current, voltage, after))
	s := &d.Sessions[0]
	require.NotNil(t, stageOf(s, analyze.ConstantVoltage))
	assert.InDelta(t, 600+3*anHour, endOf(s, analyze.ConstantCurrent), 15*60)
	assert.InEpsilon(t, lead17Ah, float64(s.ChargeInAh), 2e-3)
	assert.Equal(t, analyze.Complete, s.Outcome)
}

// The battery never comes to its voltage: a timer ends it at 3 h x 5 A.
func TestChargeWithoutConstantVoltageIsCutShort(t *testing.T) {
	d := run(analyze.Options{}, script(10, before, current, after))
	require.Len(t, d.Sessions, 1)
	s := &d.Sessions[0]
	assert.InEpsilon(t, 15, float64(s.ChargeInAh), 1e-4)
	assert.Equal(t, []analyze.StageName{analyze.Idle, analyze.ConstantCurrent, analyze.Rest}, stageNames(s))
	assert.Equal(t, analyze.CutShort, s.Outcome)
	assert.Equal(t, analyze.EndCurrentStopped, s.EndedBy)
	assert.False(t, analyze.Known(float64(s.HeldV)), "no voltage was held")
	assert.False(t, analyze.Known(float64(s.FinishS)))
	assert.Contains(t, codesOf(s), analyze.CodeCurrentDropped)
}

// The battery is at its voltage from the first row: no constant current at all.
func TestNothingButConstantVoltage(t *testing.T) {
	d := run(analyze.Options{}, script(10, before, voltage, after))
	require.Len(t, d.Sessions, 1)
	s := &d.Sessions[0]
	assert.InEpsilon(t, 4.908421806+edges(10, 5, lastAmps), float64(s.ChargeInAh), 1e-4)
	assert.Equal(t, []analyze.StageName{analyze.Idle, analyze.ConstantVoltage, analyze.Finish, analyze.Rest}, stageNames(s))
	assert.Equal(t, analyze.Complete, s.Outcome)
	assert.InDelta(t, 14.4, float64(s.HeldV), 0.001)
}

// The log ends while current flows: still running, or, where the tail was met, complete.
func TestLogThatEndsWithCurrentFlowing(t *testing.T) {
	half := fade(anHour, 14.40, 5, anHour)
	s := run(analyze.Options{}, script(10, before, current, half)).Sessions[0]
	assert.Equal(t, analyze.Running, s.Outcome)
	assert.Equal(t, analyze.EndLogEnded, s.EndedBy)
	assert.InDelta(t, 600+4*anHour, float64(s.EndS), 10)
	s = run(analyze.Options{}, script(10, before, current, voltage)).Sessions[0]
	assert.Equal(t, analyze.Complete, s.Outcome)
	assert.Nil(t, stageOf(&s, analyze.Rest))
}

// A float at 13.6 V after the absorption: what ends the charge is the step down, if it
// comes before the tail; the float's own charge counts.
func TestStepDownToFloatFinishesTheCharge(t *testing.T) {
	short := fade(2*anHour, 14.40, 5, anHour) // down to 0.68 A, above any tail
	d := run(analyze.Options{}, script(10, before, current, short, steady(3*anHour, 13.60, 0.10), after))
	require.Len(t, d.Sessions, 1)
	s := &d.Sessions[0]
	assert.Equal(t, analyze.Complete, s.Outcome)
	assert.Equal(t, analyze.EndFloat, s.EndedBy)
	assert.InDelta(t, 600+5*anHour, float64(s.FinishS), 20)
	assert.InDelta(t, 600+8*anHour, float64(s.EndS), 10, "the end includes the float")
	assert.InEpsilon(t, 15+faded(2*anHour, 5, anHour)+0.3, float64(s.ChargeInAh), 1e-3)
}

// One row that says zero among good ones is no pause, no end and no stage.
func TestOneOddZeroRowChangesNoStage(t *testing.T) {
	rows := script(10, before, current, voltage, after)
	for _, at := range []float64{700, 600 + anHour, 600 + 3*anHour, 600 + 3.5*anHour} {
		good := run(analyze.Options{}, rows)
		odd := append([]analyze.Sample(nil), rows...)
		k := int(at / 10)
		require.Equal(t, at, odd[k].At)
		odd[k].Amps = 0
		got := run(analyze.Options{}, odd)
		require.Len(t, got.Sessions, 1)
		want, s := &good.Sessions[0], &got.Sessions[0]
		assert.Equal(t, stageNames(want), stageNames(s), "zero at %.0f s", at)
		assert.Equal(t, want.StartS, s.StartS)
		assert.Equal(t, want.EndS, s.EndS)
		assert.Equal(t, want.Outcome, s.Outcome)
		assert.Equal(t, codesOf(want), codesOf(s), "zero at %.0f s", at)
		assert.InDelta(t, endOf(want, analyze.ConstantCurrent), endOf(s, analyze.ConstantCurrent), 15)
		assert.InDelta(t, float64(want.ChargeInAh)-5*10.0/3600, float64(s.ChargeInAh), 1.1*5*10.0/3600)
	}
}

// A row in which all is zero, as meters print when they are switched over.
func TestOneRowOfZerosChangesNoStage(t *testing.T) {
	rows := script(10, before, current, voltage, after)
	rows[900].Volts, rows[900].Amps = 0, 0
	s := run(analyze.Options{}, rows).Sessions[0]
	assert.Equal(t, []analyze.StageName{analyze.Idle, analyze.ConstantCurrent, analyze.ConstantVoltage, analyze.Finish, analyze.Rest}, stageNames(&s))
	assert.InDelta(t, 600+3*anHour, endOf(&s, analyze.ConstantCurrent), 15)
	assert.Equal(t, analyze.Complete, s.Outcome)
	for _, f := range s.Findings {
		assert.Equal(t, analyze.Note, f.Severity, "%s: %s", f.Code, f.Message)
	}
}

// What cannot be used is counted with its line and the reason, and what is left is the
// same charge as without it.
func TestUnusableRowsAreCountedAndSkipped(t *testing.T) {
	rows := script(10, before, current, voltage, after)
	clean := run(analyze.Options{}, rows)
	for _, c := range []struct {
		name, reason string
		make         func(good analyze.Sample) analyze.Sample
	}{
		{"duplicate", "duplicate row", func(s analyze.Sample) analyze.Sample { return s }},
		{"time stands still", "time stands still", func(s analyze.Sample) analyze.Sample { s.Volts += 0.003; return s }},
		{"clock back by 5 min", "clock went backwards", func(s analyze.Sample) analyze.Sample { s.At -= 300; return s }},
		{"blank current", "blank current", func(s analyze.Sample) analyze.Sample { s.At += 5; s.Amps = analyze.Unknown(); return s }},
		{"blank voltage", "blank voltage", func(s analyze.Sample) analyze.Sample { s.At += 5; s.Volts = analyze.Unknown(); return s }},
		{"blank row", "blank voltage and current", func(s analyze.Sample) analyze.Sample {
			s.At += 5
			s.Volts, s.Amps = analyze.Unknown(), analyze.Unknown()
			return s
		}},
		{"overload", "overload reading", func(s analyze.Sample) analyze.Sample { s.At += 5; s.Amps = 3.4e38; return s }},
		{"infinite", "overload reading", func(s analyze.Sample) analyze.Sample { s.At += 5; s.Volts = math.Inf(1); return s }},
		{"no time", "no time", func(s analyze.Sample) analyze.Sample { s.At = analyze.Unknown(); return s }},
	} {
		t.Run(c.name, func(t *testing.T) {
			var with []analyze.Sample
			for k, r := range rows {
				with = append(with, r)
				if k == 800 || k == 1300 {
					bad := c.make(r)
					bad.Line = 100000 + k
					with = append(with, bad)
				}
			}
			got := run(analyze.Options{}, with)
			assert.Equal(t, []analyze.Rejection{{Line: 100800, Reason: c.reason}, {Line: 101300, Reason: c.reason}}, got.Log.Rejected)
			assert.Equal(t, 2, got.Log.RejectedCount)
			assert.Equal(t, map[string]int{c.reason: 2}, got.Log.RejectedByReason)
			assert.Equal(t, len(with), got.Log.Rows)
			assert.Equal(t, len(rows), got.Log.Used)
			s, want := got.Sessions[0], clean.Sessions[0]
			s.Findings, want.Findings = nil, nil // a clock step or an overload is noted
			assert.JSONEq(t, asJSON(t, want), asJSON(t, s))
		})
	}
}

// 48 h of a meter that flickers between 0.00 and 0.01 A is not 0.2 Ah.
func TestFlickerOfTheLastDigitIsNoCharge(t *testing.T) {
	rows := metered(10, 0.01, 0.01, idle(48*anHour, 12.80))
	for k := range rows {
		if (k*7919)%13 < 6 {
			rows[k].Amps = 0.01
		}
	}
	d := run(analyze.Options{}, rows)
	require.Len(t, d.Sessions, 1)
	assert.Equal(t, analyze.NoCharge, d.Sessions[0].Outcome)
	assert.Less(t, float64(d.Sessions[0].ChargeInAh), 0.005, "0.00 Ah as people write it; the mean of 4.6 mA over 48 h would be 0.22 Ah")
	assert.Zero(t, float64(d.Sessions[0].ChargeOutAh))
	assert.Empty(t, d.Sessions[0].Findings)
}

// An hour without rows at 5 A: not counted, but said to be 5 Ah give or take what may
// have flowed, from nothing to all of it.
func TestGapIsBoundedAndNotCounted(t *testing.T) {
	rows := without(script(10, before, current, voltage, after), 600+anHour, 600+2*anHour)
	d := run(analyze.Options{}, rows)
	require.Len(t, d.Sessions, 1)
	s := &d.Sessions[0]
	assert.InDelta(t, lead17Ah-5*(anHour+10)/3600+edges(10, 5, lastAmps), float64(s.ChargeInAh), 1e-3)
	require.Len(t, s.Gaps, 1)
	g := s.Gaps[0]
	assert.Equal(t, 600+anHour-10, float64(g.StartS))
	assert.Equal(t, 600+2*anHour, float64(g.EndS))
	assert.InDelta(t, 5*(anHour+10)/3600, float64(g.ChargeAh), 1e-3)
	assert.Greater(t, float64(g.ChargeAhU95), 0.5*float64(g.ChargeAh), "it may as well have stopped")
	assert.Contains(t, codesOf(s), analyze.CodeDataGap)
	assert.Equal(t, analyze.Complete, s.Outcome)
	assert.InDelta(t, 600+3*anHour, endOf(s, analyze.ConstantCurrent), 15)
}

// A log that slows down has no gaps.
func TestSlowerRowsAreNoGap(t *testing.T) {
	quick := script(5, before, current)
	var rows []analyze.Sample
	for _, r := range script(5, before, current, voltage, after) {
		if r.At < quick[len(quick)-1].At || math.Mod(r.At, 120) == 0 {
			rows = append(rows, r)
		}
	}
	d := run(analyze.Options{}, rows)
	assert.Empty(t, d.Sessions[0].Gaps)
	assert.InEpsilon(t, lead17Ah, float64(d.Sessions[0].ChargeInAh), 1e-3)
}

// Charged, discharged by 2 h x 3 A, and charged again. The rows between belong to the
// session after them.
func TestTwoChargesWithADischargeBetween(t *testing.T) {
	d := run(analyze.Options{}, script(10,
		before, current, voltage, after,
		ramp(2*anHour, 12.6, 12.2, -3, -3), idle(anHour, 12.4),
		ramp(anHour, 12.8, 14.4, 5, 5), voltage, after))
	require.Len(t, d.Sessions, 2)
	first, second := &d.Sessions[0], &d.Sessions[1]
	assert.InDelta(t, lead17Ah+edges(10, 5, lastAmps), float64(first.ChargeInAh), 1e-3)
	assert.InDelta(t, 5+4.908421806+edges(10, 5, lastAmps), float64(second.ChargeInAh), 1e-3)
	assert.Zero(t, float64(first.ChargeOutAh))
	assert.InEpsilon(t, 6, float64(second.ChargeOutAh), 1e-3)
	assert.Equal(t, analyze.Complete, first.Outcome)
	assert.Equal(t, analyze.Complete, second.Outcome)
	assert.NotEqual(t, first.ID, second.ID)
	assert.InDelta(t, 600+(7+2+2+1)*anHour, float64(second.StartS), 10)
	assert.InDelta(t, 600+13*anHour, endOf(second, analyze.ConstantCurrent), 15)
}

// Mains fail for twelve minutes and come back: one charge. For an hour: two.
func TestPauseUpToHalfAnHourIsOneCharge(t *testing.T) {
	for _, c := range []struct {
		minutes  float64
		sessions int
	}{{12, 1}, {29, 1}, {60, 2}} {
		t.Run(fmt.Sprintf("%.0f min", c.minutes), func(t *testing.T) {
			d := run(analyze.Options{}, script(10, before,
				ramp(anHour, 12.6, 13.2, 5, 5), idle(c.minutes*60, 12.7),
				ramp(2*anHour, 13.2, 14.4, 5, 5), voltage, after))
			require.Len(t, d.Sessions, c.sessions)
			in := 0.0
			for _, s := range d.Sessions {
				in += float64(s.ChargeInAh)
			}
			assert.InDelta(t, lead17Ah+edges(10, 5, lastAmps), in, 1e-3)
			if c.sessions == 1 {
				assert.Contains(t, codesOf(&d.Sessions[0]), analyze.CodeInterrupted)
				assert.Equal(t, analyze.Complete, d.Sessions[0].Outcome)
			} else {
				assert.Equal(t, analyze.CutShort, d.Sessions[0].Outcome)
			}
		})
	}
}

// The clock is set back an hour in mid-charge (the end of summer time) and goes on:
// elapsed time goes on too, and no charge is invented or lost.
func TestClockThatIsSetBackOrForthInventsNothing(t *testing.T) {
	for _, hours := range []float64{-1, 1, -48} {
		rows := script(10, before, current, voltage, after)
		for k := 900; k < len(rows); k++ {
			rows[k].At += hours * anHour
		}
		d := run(analyze.Options{}, rows)
		require.Len(t, d.Sessions, 1, "%v h", hours)
		s := &d.Sessions[0]
		if hours < 0 {
			assert.Contains(t, codesOf(s), analyze.CodeClockStep)
			assert.InEpsilon(t, lead17Ah, float64(s.ChargeInAh), 2e-3)
			assert.InDelta(t, 600+3*anHour, endOf(s, analyze.ConstantCurrent), 30)
			continue
		}
		// A leap forward cannot be told from a gap, and is bounded like one.
		require.Len(t, s.Gaps, 1)
		assert.InEpsilon(t, lead17Ah, float64(s.ChargeInAh), 2e-3)
	}
}

// A clock that is set back and later forth again, by as much: both are steps.
func TestClockThatRepaysItsStepLeavesNoGap(t *testing.T) {
	rows := script(10, before, current, voltage, after)
	for k := 900; k < 1200; k++ {
		rows[k].At -= anHour
	}
	s := run(analyze.Options{}, rows).Sessions[0]
	assert.Empty(t, s.Gaps)
	assert.InEpsilon(t, lead17Ah, float64(s.ChargeInAh), 2e-3)
	assert.Contains(t, codesOf(&s), analyze.CodeClockStep)
}

func TestLogsOfAlmostNothing(t *testing.T) {
	none := run(analyze.Options{}, nil)
	assert.Zero(t, none.Log.Rows)
	for n := 1; n < 8; n++ {
		d := run(analyze.Options{}, script(10, current)[:n])
		require.Len(t, d.Sessions, 1, "%d rows", n)
		assert.Equal(t, n, d.Log.Used)
		if n == 1 {
			assert.Zero(t, float64(d.Sessions[0].ChargeInAh))
		} else {
			assert.InDelta(t, 5*10*float64(n-1)/3600, float64(d.Sessions[0].ChargeInAh), 1e-6, "%d rows", n)
		}
	}
}

// A row that could not be decoded is counted, and what was still read of it is kept.
func TestRefusedRowsKeepWhatCouldBeRead(t *testing.T) {
	m := analyze.New(analyze.Options{})
	rows := script(10, before, current, voltage)
	for k, s := range rows {
		if k == 800 {
			odd := s
			odd.Celsius, odd.Line = 31, 4711
			odd.Volts = analyze.Unknown()
			assert.Empty(t, m.Refuse(odd, "blank voltage and current"))
			events := m.Refuse(odd, "overload reading")
			require.Len(t, events, 1)
			assert.Equal(t, analyze.CodeOverloadReading, events[0].Finding.Code)
			assert.Empty(t, m.Refuse(odd, "overload reading"), "the second time is no news")
		}
		m.Step(s)
	}
	d := m.Document()
	assert.Equal(t, 3, d.Log.RejectedCount)
	assert.Equal(t, len(rows)+3, d.Log.Rows)
	assert.Equal(t, analyze.Rejection{Line: 4711, Reason: "overload reading"}, d.Log.Rejected[1])
	assert.Equal(t, 31.0, float64(d.Sessions[0].MaxCelsius))
	assert.Contains(t, codesOf(&d.Sessions[0]), analyze.CodeOverloadReading)
}

// What a page shows: the last reading, the stage, and whether anything is under way.
func TestPresentStateOfAMachine(t *testing.T) {
	m := analyze.New(analyze.Options{})
	_, _, _, _, ok := m.Last()
	assert.False(t, ok, "before the first row there is none")
	assert.True(t, m.Idle())
	assert.Equal(t, analyze.Idle, m.Stage())
	seen := map[analyze.StageName]float64{}
	for _, s := range script(10, before, current, voltage, after) {
		m.Step(s)
		at, volts, amps, celsius, ok := m.Last()
		require.True(t, ok)
		require.Equal(t, []float64{s.At, s.Volts, s.Amps}, []float64{at, volts, amps})
		require.False(t, analyze.Known(celsius))
		if _, ok := seen[m.Stage()]; !ok {
			seen[m.Stage()] = s.At
			assert.Equal(t, m.Stage() == analyze.Idle || m.Stage() == analyze.Rest, m.Idle(), "in stage %s", m.Stage())
		}
	}
	assert.InDelta(t, 600+120, seen[analyze.ConstantCurrent], 60, "after two minutes of current")
	assert.InDelta(t, 600+3*anHour, seen[analyze.ConstantVoltage], 600, "within minutes")
	assert.InDelta(t, 600+7*anHour+1800, seen[analyze.Rest], 60, "after half an hour without current")
	assert.True(t, m.Idle())
}

// Events come in the order of a charge, each seen no earlier than it happened.
func TestEventsTellTheStoryOfACharge(t *testing.T) {
	m := analyze.New(analyze.Options{})
	var kinds []string
	for _, s := range script(10, before, current, voltage, after, ramp(anHour, 12.6, 12.3, -3, -3), idle(600, 12.4), ramp(anHour, 12.8, 13.4, 5, 5)) {
		for _, e := range m.Step(s) {
			if e.Kind == analyze.FindingRaised || e.Kind == analyze.FindingCleared {
				continue
			}
			assert.LessOrEqual(t, e.At, e.Seen)
			assert.Equal(t, s.At, e.Seen)
			if e.Session != nil {
				assert.InDelta(t, map[bool]float64{true: 600, false: 600 + (7+2+1)*anHour + 600}[e.Seen < 10*anHour || e.Kind != analyze.SessionBegan], float64(e.Session.StartS), 10)
			}
			kinds = append(kinds, string(e.Kind)+" "+string(e.Stage))
		}
	}
	assert.Equal(t, []string{
		"session-began ", "stage-began constant-current", "stage-began constant-voltage", "stage-began finish",
		"stage-began rest", "session-over ",
		"session-closed ", "session-began ", "stage-began constant-current",
	}, kinds)
}

// Half a day without a row: what was under way is over, whatever comes then.
func TestChargeIsOverAfterHalfADayWithoutRows(t *testing.T) {
	rows := script(10, before, current, idle(20*anHour, 12.6), ramp(anHour, 12.7, 13.0, 5, 5))
	rows = without(rows, 600+3*anHour, 600+23*anHour)
	d := run(analyze.Options{}, rows)
	require.Len(t, d.Sessions, 2)
	assert.Equal(t, analyze.CutShort, d.Sessions[0].Outcome)
	assert.Equal(t, analyze.Running, d.Sessions[1].Outcome)
	assert.InDelta(t, 15, float64(d.Sessions[0].ChargeInAh), 0.02)
}

// Negative volts beyond any meter's zero.
func TestReversedLeadsAreAnAlarm(t *testing.T) {
	d := run(analyze.Options{}, script(10, idle(600, -12.6)))
	require.Len(t, d.Sessions, 1)
	assert.Contains(t, codesOf(&d.Sessions[0]), analyze.CodeReversePolarity)
}

// A nickel pack of six cells: 2 h x 1 A to its peak of 9.0 V and ten minutes beyond.
func TestNickelChargeEndsAtItsPeak(t *testing.T) {
	rows := script(5, idle(300, 7.5), ramp(2*anHour, 8.1, 9.0, 1, 1), ramp(600, 9.0, 8.94, 1, 1), settle(anHour, 8.6, 8.3, 600))
	d := run(analyze.Options{}, rows)
	require.Len(t, d.Sessions, 1)
	s := &d.Sessions[0]
	assert.Equal(t, analyze.Complete, s.Outcome)
	assert.Equal(t, analyze.EndVoltagePeak, s.EndedBy)
	assert.InDelta(t, 300+2*anHour, float64(s.FinishS), 30)
	assert.Equal(t, analyze.NiMH, s.Chemistry)
	assert.Equal(t, 6, s.Cells)
	assert.InDelta(t, 2+1.0/6, float64(s.ChargeInAh), 1e-3)
	assert.Nil(t, stageOf(s, analyze.ConstantVoltage))
}

// Nickel charged slowly shows no peak; its voltage has stopped rising when the timer
// ends the charge.
func TestSlowNickelChargeIsCompleteWhenItsVoltageStands(t *testing.T) {
	level := part{10 * anHour, func(t float64) float64 { return 8.0 + 0.7*(1-math.Exp(-t/(2*anHour))) }, always(0.2)}
	s := run(analyze.Options{Chemistry: analyze.NiMH}, script(10, idle(300, 7.5), level, idle(anHour, 8.4))).Sessions[0]
	assert.Equal(t, analyze.Complete, s.Outcome)
	assert.Equal(t, analyze.EndVoltagePeak, s.EndedBy)
	assert.InDelta(t, 2, float64(s.ChargeInAh), 1e-3)
}

// The charger ends by itself at a tenth of its current or less: 5 A exp(-2.4) = 0.45 A
// is above any usual tail of 20 Ah, and yet the end.
func TestChargersOwnEndIsComplete(t *testing.T) {
	o := analyze.Options{Capacity: 20 * 3600, Chemistry: analyze.LeadAGM}
	s := run(o, script(10, before, current, fade(2.4*anHour, 14.4, 5, anHour), after)).Sessions[0]
	assert.Equal(t, analyze.Complete, s.Outcome)
	assert.Equal(t, analyze.EndCurrentStopped, s.EndedBy)
	s = run(o, script(10, before, current, fade(anHour, 14.4, 5, anHour), after)).Sessions[0]
	assert.Equal(t, analyze.CutShort, s.Outcome, "1.8 A is more than a tenth of 5 A")
	assert.Contains(t, codesOf(&s), analyze.CodeCurrentDropped)
}

// What has flowed so far is told up to the row before the last two: an interval is
// judged by what comes after it.
func TestFlowedSoFarLagsTwoRows(t *testing.T) {
	m := analyze.New(analyze.Options{})
	_, _, ok := m.Flowed()
	assert.False(t, ok)
	for k, s := range script(10, steady(anHour, 13, 5)) {
		m.Step(s)
		at, in, ok := m.Flowed()
		require.Equal(t, k >= 3, ok, "row %d", k)
		if ok {
			require.Equal(t, s.At-20, at)
			require.InDelta(t, 5*at, in, 1e-9)
		}
	}
}
