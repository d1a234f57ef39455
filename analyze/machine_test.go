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
			assert.Equal(t, analyze.StageNames(), stageNames(s), "each of them, in order")
			assert.Empty(t, s.Gaps)
			assert.Empty(t, warnings(d))
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
	assert.InDelta(t, float64(s.ChargeInAh), charge, 1e-4)
	assert.InDelta(t, float64(s.EnergyInWh), energy, 1e-2)
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
	}{{12, 1}, {29, 1}, {31, 2}, {60, 2}} {
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
	const first, second = 600, 600 + (7+2+1)*anHour + 600 // s, when the charges begin
	var kinds []string
	for _, s := range script(10, before, current, voltage, after, ramp(anHour, 12.6, 12.3, -3, -3), idle(600, 12.4), ramp(anHour, 12.8, 13.4, 5, 5)) {
		for _, e := range m.Step(s) {
			if e.Kind == analyze.FindingRaised || e.Kind == analyze.FindingCleared {
				continue
			}
			assert.LessOrEqual(t, e.At, s.At)
			if e.Session != nil {
				began := first + 0.
				if e.Kind == analyze.SessionBegan && s.At > second {
					began = second
				}
				assert.InDelta(t, began, float64(e.Session.StartS), 10)
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
