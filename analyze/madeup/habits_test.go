package madeup_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// plain is a night without any habits, to which a test adds one.
func plain() madeup.Night {
	return madeup.Night{
		Battery: twelveVolts(analyze.LeadAGM, 20, 0.5), Meter: madeup.Meter{Every: 1},
		Charger: madeup.Charger{Amps: 4, Volts: 14.4, TailAmps: 0.3},
		Plan:    []madeup.Phase{madeup.Sleep(60), madeup.Charge(), madeup.Sleep(600)},
	}
}

func TestSoftStart(t *testing.T) {
	n := plain()
	n.Charger.SoftStart = 100
	rows, _ := n.Collect()
	assert.InDelta(t, 1, rows[60+25].Amps, 0.05)
	assert.InDelta(t, 2, rows[60+50].Amps, 0.05)
	assert.InDelta(t, 4, rows[60+101].Amps, 1e-9)
}

func TestPowerLimitRules(t *testing.T) {
	n := plain()
	n.Charger.Watts = 40
	rows, truth := n.Collect()
	for _, r := range rows[70:int(truth.Charges[0].LimitS)] {
		require.InDelta(t, 40, r.Volts*r.Amps, 0.1)
	}
	assert.Less(t, float64(truth.Charges[0].SetAmps), 3.4)
}

func TestOvershootAndDrift(t *testing.T) {
	n := plain()
	n.Charger.Overshoot, n.Charger.OvershootDecay = 0.1, 60
	rows, truth := n.Collect()
	c := truth.Charges[0]
	assert.InDelta(t, 14.5, float64(c.PeakVolts), 0.01)
	assert.InDelta(t, 14.4+0.1*math.Exp(-2), rows[int(c.LimitS)+120].Volts, 0.005)
	assert.InDelta(t, 14.4, rows[int(c.ReachS)].Volts, 0.005)
	assert.Less(t, float64(c.ReachS), float64(c.LimitS))

	n = plain()
	n.Charger.Drift, n.Charger.DriftPeriod = 0.02, 3000
	_, truth = n.Collect()
	assert.InDelta(t, 14.42, float64(truth.Charges[0].PeakVolts), 0.001)
	assert.InDelta(t, 14.4, float64(truth.Charges[0].HeldVolts), 0.01)
}

func TestStepDownToFloat(t *testing.T) {
	n := plain()
	n.Charger.TailAmps = 1
	n.Charger.FloatVolts, n.Charger.FloatFor = 13.6, 7200
	rows, truth := n.Collect()
	c := truth.Charges[0]
	assert.Equal(t, analyze.EndFloat, c.EndedBy, "1 A is above 2 % of 20 Ah, so the step-down came first")
	assert.InDelta(t, 7200, float64(c.EndS-c.FinishS), 1)
	assert.InDelta(t, 13.6, rows[int(c.EndS)-10].Volts, 1e-9)
	assert.InDelta(t, 14.4, float64(c.HeldVolts), 1e-6, "float is not the held voltage")
}

func TestPauses(t *testing.T) {
	n := plain()
	n.Charger.PauseEvery, n.Charger.PauseFor = 600, 30
	rows, truth := n.Collect()
	assert.Zero(t, rows[60+615].Amps)
	assert.InDelta(t, 4, rows[60+635].Amps, 1e-9)
	c := truth.Charges[0]
	assert.Greater(t, float64(c.HoldS), float64(c.LimitS), "after a pause the current limit rules anew")
	assert.Equal(t, analyze.Complete, c.Outcome)
}

func TestThrottle(t *testing.T) {
	n := plain()
	n.Charger.ThrottleAfter, n.Charger.ThrottleTo = 900, 0.75
	rows, _ := n.Collect()
	assert.InDelta(t, 4, rows[60+890].Amps, 1e-9)
	assert.InDelta(t, 3, rows[60+910].Amps, 1e-9)
}

func TestHowAChargeEnds(t *testing.T) {
	for name, c := range map[string]struct {
		change  func(*madeup.Night)
		outcome analyze.Outcome
		by      analyze.EndedBy
	}{
		"tail":       {func(*madeup.Night) {}, analyze.Complete, analyze.EndTailCurrent},
		"timer":      {func(n *madeup.Night) { n.Charger.Timer = 1800 }, analyze.CutShort, analyze.EndCurrentStopped},
		"taken away": {func(n *madeup.Night) { n.Plan[1] = madeup.ChargeFor(1800) }, analyze.CutShort, analyze.EndCurrentStopped},
		"log ends":   {func(n *madeup.Night) { n.Plan = n.Plan[:2]; n.Plan[1] = madeup.ChargeFor(1800) }, analyze.Running, analyze.EndLogEnded},
		"a moment":   {func(n *madeup.Night) { n.Plan[1] = madeup.ChargeFor(5) }, analyze.NoCharge, analyze.EndCurrentStopped},
	} {
		t.Run(name, func(t *testing.T) {
			n := plain()
			c.change(&n)
			truth := n.Truth().Charges[0]
			assert.Equal(t, c.outcome, truth.Outcome)
			assert.Equal(t, c.by, truth.EndedBy)
		})
	}
}

func TestDischargeBelongsToTheChargeAfterIt(t *testing.T) {
	n := plain()
	n.Plan = []madeup.Phase{madeup.Draw(2, 1800), madeup.Charge(), madeup.Draw(3, 1200), madeup.Charge(), madeup.Draw(1, 3600)}
	truth := n.Truth()
	require.Len(t, truth.Charges, 2)
	assert.InDelta(t, 1, float64(truth.Charges[0].OutAh), 1e-9)
	assert.InDelta(t, 2, float64(truth.Charges[1].OutAh), 1e-9, "before it and after the last")
}

func TestMeter(t *testing.T) {
	n := plain()
	n.Plan = []madeup.Phase{madeup.Sleep(40000)}
	n.Meter = madeup.Meter{Every: 2, Jitter: 0.5, NoiseVolts: 0.015, NoiseAmps: 0.02, ZeroAmps: -0.01, GainVolts: 0.01, Missing: 0.05}
	rows, _ := n.Collect()
	assert.InDelta(t, 19000, len(rows), 150, "one in twenty of 20000 is lost")
	var volts, amps, squares float64
	for i, r := range rows {
		volts += r.Volts / float64(len(rows))
		amps += r.Amps / float64(len(rows))
		squares += (r.Amps + 0.01) * (r.Amps + 0.01) / float64(len(rows))
		beat := math.Mod(r.At+1, 2) - 1
		require.LessOrEqual(t, math.Abs(beat), 0.501)
		require.True(t, i == 0 || r.At > rows[i-1].At)
	}
	assert.InDelta(t, 12.30*1.01, volts, 0.001)
	assert.InDelta(t, -0.01, amps, 0.001)
	assert.InDelta(t, 0.02, math.Sqrt(squares), 0.0005)
	assert.False(t, analyze.Known(rows[0].Celsius), "there is no thermometer")

	n.Meter = madeup.Meter{Every: 10, StepVolts: 0.1, StepAmps: 0.1, NoiseVolts: 0.1, NoiseAmps: 0.1, Silent: []madeup.Span{{100, 500}}}
	rows, _ = n.Collect()
	for _, r := range rows {
		require.Equal(t, math.Round(r.Volts*10)/10, r.Volts)
		require.False(t, r.At >= 100 && r.At < 500)
	}
}

// A logger that writes on change shows both sides of a step.
func TestRowsOnAStep(t *testing.T) {
	n := plain()
	n.Meter = madeup.Meter{Every: 60, OnStep: 1}
	n.Plan = []madeup.Phase{madeup.Sleep(90), madeup.ChargeFor(100), madeup.Sleep(60)}
	rows, _ := n.Collect()
	var at, amps []float64
	for _, r := range rows {
		at, amps = append(at, r.At), append(amps, r.Amps)
	}
	assert.Equal(t, []float64{0, 60, 90, 120, 180, 190, 240}, at)
	assert.Equal(t, []float64{0, 0, 4, 4, 4, 0, 0}, amps)
}
