package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

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
	d := run(analyze.Options{}, rows)
	s := d.Sessions[0]
	assert.Equal(t, analyze.StageNames(), stageNames(&s))
	assert.InDelta(t, 600+3*anHour, endOf(&s, analyze.ConstantCurrent), 15)
	assert.Equal(t, analyze.Complete, s.Outcome)
	assert.Empty(t, warnings(d))
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
