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
