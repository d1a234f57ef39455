package analyze_test

import (
	"testing"
	"time"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// stamped gives rows the wall times of a clock that is stepped at a row.
func stamped(rows []analyze.Sample, began time.Time, at int, step time.Duration) []analyze.Sample {
	for k := range rows {
		wall := began.Add(time.Duration(rows[k].At * float64(time.Second)))
		if k >= at {
			wall = wall.Add(step)
		}
		rows[k].Wall = wall.UnixNano()
	}
	return rows
}

func TestClockThatIsSetLateDatesTheCharge(t *testing.T) {
	flat := func(float64) float64 { return 12.8 }
	evening := time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
	start := func(rows []analyze.Sample) time.Time {
		s := run(analyze.Options{}, rows).Sessions
		require.Len(t, s, 1)
		require.NotNil(t, s[0].Started)
		return *s[0].Started
	}
	began := time.Unix(20, 0).UTC()
	right := evening.Add(120 * time.Second)
	assert.Equal(t, right, start(stamped(chargeAndRest(600, flat), began, 30, evening.Sub(began))), "1970 gives way")
	assert.Equal(t, right, start(stamped(chargeAndRest(600, flat), evening, 30, 26*time.Hour)), "a date that may be right stays")
	assert.Equal(t, right, start(stamped(chargeAndRest(600, flat), evening, 30, -evening.Sub(began))), "no way back")
}

// An account that goes on where another began gives a charge the same name, though
// its first row is another one, stamped a little late.
func TestEpochKeepsTheNameOfACharge(t *testing.T) {
	evening := time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
	rows := stamped(chargeAndRest(600, func(float64) float64 { return 12.8 }), evening, 0, 0)
	want := run(analyze.Options{Channel: "bench"}, rows).Sessions[0]
	late := rows[5:]
	late[0].Wall += int64(1500 * time.Millisecond)
	o := analyze.Options{Channel: "bench", Epoch: evening.Add(50 * time.Second).UnixNano()}
	got := run(o, late).Sessions[0]
	assert.Equal(t, want.ID, got.ID)
	assert.Equal(t, want.Started, got.Started)
	o.Epoch = 0
	assert.NotEqual(t, want.ID, run(o, late).Sessions[0].ID)
}
