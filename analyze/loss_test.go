package analyze_test

import (
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// While the source is lost nobody knows what the charger does: that time is no pause
// of the charger. A loss as long as a pause may be counts in full.
func TestLossWithinAPauseIsNoPause(t *testing.T) {
	for _, c := range []struct {
		name     string
		minutes  float64 // of pause in all
		from, to float64 // of it, min, without rows
		isOne    bool
	}{
		{"seen for a quarter of an hour", 40, 10, 35, true},
		{"seen for more than half an hour", 60, 10, 35, false},
		{"lost for more than half an hour", 60, 10, 50, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			rows := script(10, before, ramp(anHour, 12.6, 13.2, 5, 5), idle(c.minutes*60, 12.7), ramp(2*anHour, 13.2, 14.4, 5, 5), voltage, after)
			pause := 600 + anHour
			d := run(analyze.Options{}, without(rows, pause+60*c.from, pause+60*c.to))
			assert.Equal(t, c.isOne, len(d.Sessions) == 1)
		})
	}
}

// The charge so far stands for a capacity that nobody stated. What flowed while the
// source was lost is part of it, or a charge of which much was lost would have to go on
// to a far smaller current before it counts as complete.
func TestTailKnowsWhatFlowedUnseen(t *testing.T) {
	rows := script(10, before, current, voltage, after)
	want := run(analyze.Options{}, rows).Sessions[0]
	d := run(analyze.Options{}, without(rows, 600+anHour/2, 600+2.5*anHour))
	require.Len(t, d.Sessions, 1)
	got := d.Sessions[0]
	assert.Less(t, float64(got.ChargeInAh), 0.6*float64(want.ChargeInAh), "it is not counted")
	assert.Equal(t, want.EndedBy, got.EndedBy)
	assert.InDelta(t, float64(want.FinishS), float64(got.FinishS), 120)
}

// Lost bytes join two lines into one that looks right. In steady current it stands out
// and is left out; of pulses no more than the first is.
func TestJoinedLineInSteadyCurrentIsLeftOut(t *testing.T) {
	rows := script(10, before, current, voltage, after)
	want := run(analyze.Options{}, rows)
	odd := append([]analyze.Sample(nil), rows...)
	odd[400].Amps = 55.005
	got := run(analyze.Options{}, odd)
	assert.Equal(t, 1, got.Log.RejectedCount)
	assert.Equal(t, odd[400].Line, got.Log.Rejected[0].Line)
	assert.InDelta(t, float64(want.Sessions[0].ChargeInAh), float64(got.Sessions[0].ChargeInAh), 1e-3)
	assert.InDelta(t, float64(want.Sessions[0].SetA), float64(got.Sessions[0].SetA), 1e-3)

	pulses := script(10, before, ramp(30, 12.6, 12.6, 1, 1), steady(10, 12.8, 9), ramp(20, 12.6, 12.6, 1, 1), steady(10, 12.8, 9),
		ramp(20, 12.6, 12.6, 1, 1), steady(10, 12.8, 9), ramp(20, 12.6, 12.6, 1, 1), after)
	assert.Equal(t, 1, run(analyze.Options{}, pulses).Log.RejectedCount)
}
