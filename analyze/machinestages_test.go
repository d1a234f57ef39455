package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

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
	assert.Equal(t, analyze.StageNames(), stageNames(s))
	assert.InDelta(t, 600+3*anHour, endOf(s, analyze.ConstantCurrent), 60)
	assert.InDelta(t, 14.40, float64(s.HeldV), 0.02)
}

// After two hours at 14.40 V the charger drives 0.3 A on for three, above its limit, as DIN 41772
// says of the characteristic IUIa: the limit ruled before that, where it was held.
func TestLimitIsWhereItWasHeldFirst(t *testing.T) {
	climbing := part{3 * anHour, func(t float64) float64 { return 14.63 - 0.4*math.Exp(-t/900) }, always(0.3)}
	d := run(agm17, script(10, before, current, fade(2*anHour, 14.4, 5, anHour/2), climbing, after))
	s := &d.Sessions[0]
	require.NotNil(t, stageOf(s, analyze.ConstantVoltage))
	assert.InDelta(t, 600+3*anHour, endOf(s, analyze.ConstantCurrent), 60)
	assert.InDelta(t, 14.40, float64(s.HeldV), 0.01)
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
	assert.False(t, analyze.Known(s.HeldV), "no voltage was held")
	assert.False(t, analyze.Known(s.FinishS))
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
	assert.EqualValues(t, 6, s.Cells)
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

// After absorption a battery stands above the float voltage and takes nothing for minutes;
// what it then takes may be a fair share of a slow charger's current, and is no new charge.
func TestAFloatThatWaitsBelongsToItsCharge(t *testing.T) {
	rows := script(10, before, ramp(18*anHour, 12.2, 14.4, 5, 5), fade(1.2*anHour, 14.4, 5, anHour),
		settle(480, 14.1, 13.75, 200), fade(3*anHour, 13.7, 0.9, anHour), after)
	doc := run(agm100, rows)
	require.Len(t, doc.Sessions, 1)
	assert.Equal(t, analyze.EndTailCurrent, doc.Sessions[0].EndedBy)
}
