package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// lead40 is charged at 4 A for 2 h; then something happens; then it is charged until it is full.
var lead40 = analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}

func brokenOff(meanwhile ...part) []analyze.Sample {
	parts := append([]part{idle(600, 12.2), ramp(2*anHour, 12.5, 13.0, 4, 4)}, meanwhile...)
	return script(10, append(parts, ramp(4*anHour, 12.9, 14.4, 4, 4), fade(3*anHour, 14.4, 4, 0.8*anHour))...)
}

func TestAChargeThatTheMainsBrokeOffForHoursGoesOnInTheNextOne(t *testing.T) {
	for _, hours := range []float64{0.7, 1.5, 8} {
		for _, o := range []analyze.Options{{}, lead40} {
			d := run(o, brokenOff(settle(hours*anHour, 12.8, 12.4, anHour/2)))
			require.Len(t, d.Sessions, 2, "%v h", hours)
			assert.Equal(t, []string{analyze.CodeCurrentDropped}, codesOf(&d.Sessions[0]))
			require.Contains(t, codesOf(&d.Sessions[1]), analyze.CodeInterrupted, listed(d))
			f := findingIn(d, analyze.CodeInterrupted)
			assert.Equal(t, analyze.Note, f.Severity)
			assert.InDelta(t, 600+2*anHour, float64(f.AtS), 20)
			assert.InDelta(t, 600+(2+hours)*anHour, float64(f.EndS), 20)
			assert.Contains(t, f.Message, "with 4 A still flowing")
			assert.Contains(t, f.Message, "7.99 Ah from before")
			assert.Equal(t, analyze.Complete, d.Sessions[1].Outcome)
		}
	}
}

// That the current was gone is over once it is back: said once, before the charge is put away.
func TestTheDropClearsWhereTheChargeGoesOn(t *testing.T) {
	cleared := func(rows []analyze.Sample) (all []analyze.Event, first *analyze.Session) {
		m := analyze.New(lead40)
		for _, s := range rows {
			for _, e := range m.Step(s) {
				switch {
				case e.Kind == analyze.FindingCleared && e.Finding.Code == analyze.CodeCurrentDropped:
					require.Nil(t, first, "the charge is not put away yet")
					all = append(all, e)
				case e.Kind == analyze.SessionClosed && first == nil:
					first = e.Session
				}
			}
		}
		require.NotNil(t, first)
		return all, first
	}
	back := 600 + 3.5*anHour
	events, first := cleared(brokenOff(settle(1.5*anHour, 12.8, 12.4, anHour/2)))
	require.Len(t, events, 1)
	assert.InDelta(t, back, events[0].At, 20)
	require.Equal(t, []string{analyze.CodeCurrentDropped}, codesOf(first))
	assert.InDelta(t, back, float64(first.Findings[0].EndS), 20)
	assert.Equal(t, first.Findings[0], events[0].Finding)
	assert.Equal(t, first.ID, events[0].Session.ID)

	events, first = cleared(brokenOff(settle(anHour, 12.8, 12.4, anHour/2), idle(60, 0.01), idle(600, 12.35)))
	assert.Empty(t, events, "of another battery")
	require.Equal(t, []string{analyze.CodeCurrentDropped}, codesOf(first))
	assert.True(t, math.IsNaN(float64(first.Findings[0].EndS)))
}

func TestABreakAndLaterPausesAreToldTogether(t *testing.T) {
	rows := script(10, idle(600, 12.2), ramp(2*anHour, 12.5, 13.0, 4, 4), settle(anHour, 12.8, 12.4, anHour/2),
		ramp(2*anHour, 12.9, 13.6, 4, 4), settle(600, 13.2, 13.0, 200), ramp(2*anHour, 13.6, 14.4, 4, 4), fade(3*anHour, 14.4, 4, 0.8*anHour))
	f := findingIn(run(lead40, rows), analyze.CodeInterrupted)
	require.NotNil(t, f)
	assert.Contains(t, f.Message, "goes on with the charge that stopped")
	assert.Contains(t, f.Message, "the current stopped and went on once")
}

func TestWhatIsNoBreakOfACharge(t *testing.T) {
	of := map[string][]part{
		"another battery, with bare leads between": {settle(anHour, 12.8, 12.4, anHour/2), idle(60, 0.01), idle(600, 12.35)},
		"another battery, as empty as the first":   {settle(anHour, 12.8, 12.4, anHour/2), idle(600, 12.15)},
		"used, as the meter saw":                   {settle(anHour, 12.8, 12.4, anHour/2), steady(600, 12.3, -5), settle(anHour, 12.3, 12.36, 600)},
		"used, past the meter":                     {settle(anHour, 12.8, 12.4, anHour/2), idle(1200, 12.1), settle(anHour, 12.2, 12.36, 600)},
		"the next day":                             {settle(13*anHour, 12.8, 12.4, anHour/2)},
	}
	for name, meanwhile := range of {
		t.Run(name, func(t *testing.T) {
			d := run(lead40, brokenOff(meanwhile...))
			require.Greater(t, len(d.Sessions), 1)
			assert.Nil(t, findingIn(d, analyze.CodeInterrupted), listed(d))
		})
	}
	t.Run("nobody saw", func(t *testing.T) {
		rows := brokenOff(settle(4*anHour, 12.8, 12.4, anHour/2))
		d := run(lead40, without(rows, 600+3*anHour, 600+4*anHour))
		require.Len(t, d.Sessions, 2)
		assert.Nil(t, findingIn(d, analyze.CodeInterrupted), listed(d))
	})
	t.Run("a full battery is topped up", func(t *testing.T) {
		d := run(lead40, script(10, idle(600, 12.6), ramp(3*anHour, 12.9, 14.4, 4, 4), fade(3*anHour, 14.4, 4, 0.8*anHour),
			settle(2*anHour, 13.6, 12.9, 1800), ramp(900, 13.5, 14.4, 2, 2), settle(anHour, 13.6, 12.9, 1800)))
		require.Len(t, d.Sessions, 2)
		assert.Nil(t, findingIn(d, analyze.CodeInterrupted), listed(d))
	})
}
