package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var flooded = analyze.Options{Chemistry: analyze.LeadFlooded, Cells: 6}

// charge is four hours of 5 A into a battery of 12 V.
var charge = ramp(4*anHour, 12.6, 14.2, 5, 5)

func TestRestBeforeTellsHowEmptyItWas(t *testing.T) {
	s := run(flooded, script(10, idle(anHour, 12.24), charge)).Sessions[0]
	b := s.RestBefore
	require.NotNil(t, b)
	assert.InDelta(t, anHour, float64(b.DurationS), 20)
	assert.InDelta(t, 12.24, float64(b.SettledV), 1e-9)
	assert.Less(t, float64(b.SettledVU95), 0.05)
	assert.InDelta(t, 0.50, float64(b.StateOfCharge), 1e-9, "the flooded table's own row")
	assert.Contains(t, b.Method, "was not seen")
}

// Two minutes say what the voltage was, and not what it would settle at.
func TestShortRestBeforeIsNotOversold(t *testing.T) {
	b := run(flooded, script(10, idle(80, 12.24), charge)).Sessions[0].RestBefore
	require.NotNil(t, b)
	assert.InDelta(t, 12.24, float64(b.LastV), 1e-9)
	assert.False(t, analyze.Known(b.SettledV))
	assert.False(t, analyze.Known(b.StateOfCharge))
	assert.Contains(t, b.Method, "too short")
}

// One that was used not long ago still climbs: by the law that slows down the most, up to
// rate x 24 h / e more.
func TestClimbingRestBeforeIsUnsure(t *testing.T) {
	climbing := ramp(anHour, 12.20, 12.24, 0, 0)
	b := run(flooded, script(10, climbing, charge)).Sessions[0].RestBefore
	require.NotNil(t, b)
	assert.Greater(t, float64(b.SettledVU95), 0.3, "40 mV an hour may come to 0.35 V")
	assert.False(t, analyze.Known(b.StateOfCharge))
}

func TestRestBeforeAfterADischargeIsFitted(t *testing.T) {
	rows := script(10, idle(300, 12.5), ramp(anHour, 12.1, 11.9, -5, -5), settle(2*anHour, 12.0, 12.24, 1200), charge)
	s := run(flooded, rows).Sessions
	b := s[len(s)-1].RestBefore
	require.NotNil(t, b)
	assert.InDelta(t, 12.24, float64(b.SettledV), 0.03)
	assert.Contains(t, b.Method, "after the discharge before")
}

func TestRestBeforeAfterAChargeIsItsRest(t *testing.T) {
	rows := script(10, idle(300, 12.0), ramp(2*anHour, 12.4, 13.2, 5, 5), settle(3*anHour, 12.9, 12.40, 1800), charge)
	s := run(flooded, rows).Sessions
	require.Len(t, s, 2)
	b := s[1].RestBefore
	require.NotNil(t, b)
	assert.InDelta(t, 12.40, float64(b.SettledV), 0.03)
	assert.Contains(t, b.Method, "after the charge before")
	assert.InDelta(t, float64(s[0].Rest.SettledV), float64(b.SettledV), 1e-9)
}

// What stood before rows went missing may have been used meanwhile.
func TestRestBeforeBeginsAnewAfterAGap(t *testing.T) {
	rows := script(10, idle(anHour, 12.24), idle(anHour, 12.24), charge)
	var kept []analyze.Sample
	for _, r := range rows {
		if r.At < 3000 || r.At > 6900 {
			kept = append(kept, r)
		}
	}
	b := run(flooded, kept).Sessions[0].RestBefore
	require.NotNil(t, b)
	assert.InDelta(t, 300, float64(b.DurationS), 20)
}

func TestNoRestBeforeWhereNoneWasSeen(t *testing.T) {
	assert.Nil(t, run(flooded, script(10, charge)).Sessions[0].RestBefore)
	assert.Nil(t, run(flooded, script(10, idle(anHour, 0.01), charge)).Sessions[0].RestBefore, "open leads are no battery")
}

// A meter that is switched off soon after a charge and on again before the next, weeks later, has
// seen a short rest, and not that the battery sank to what it was used down to.
func TestARestEndsWhereNobodyLookedForLong(t *testing.T) {
	const month = 30 * 24 * anHour
	rows := script(10, idle(600, 12.5), ramp(4*anHour, 12.6, 14.4, 5, 5), fade(2*anHour, 14.4, 5, 1800), settle(1200, 13.5, 13.0, 900))
	for _, again := range []struct{ away, rest float64 }{{month, 1200}, {14 * anHour, 1200}, {8 * anHour, 8*anHour + 2100}} {
		all := append([]analyze.Sample(nil), rows...)
		end := rows[len(rows)-1].At
		for _, r := range script(10, idle(900, 12.6), charge) {
			r.At += end + again.away
			all = append(all, r)
		}
		s := run(flooded, all).Sessions
		require.Len(t, s, 2)
		require.NotNil(t, s[0].Rest)
		assert.InDelta(t, again.rest, float64(s[0].Rest.DurationS), 30, "away for %g s", again.away)
		assert.Equal(t, analyze.Complete, s[0].Outcome)
	}
}

// A zero that is about what counts as a current comes and goes as one before the charge. The battery stood all the
// while, and what it stood at is known as well as if the meter had shown nothing.
func TestAFlickeringZeroDoesNotInterruptARest(t *testing.T) {
	for _, zero := range []float64{-0.008, 0, 0.008, 0.012} {
		flickers := part{1800, always(12.06), func(t float64) float64 { return zero + 0.004*math.Sin(t*t) }}
		rows := script(5, flickers, ramp(6*anHour, 12.3, 14.4, 2, 2), fade(2*anHour, 14.4, 2, anHour), settle(anHour, 13.3, 12.9, 900))
		d := run(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6}, rows)
		require.Len(t, d.Sessions, 1, "%g A", zero)
		before := d.Sessions[0].RestBefore
		require.NotNil(t, before, "%g A", zero)
		assert.InDelta(t, 1800, float64(before.DurationS), 60, "%g A", zero)
		assert.InDelta(t, 12.06, float64(before.SettledV), 0.001, "%g A", zero)
	}
}
