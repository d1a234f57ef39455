package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// leapt is a night on whose row k the clock is set ahead.
func leapt(k int, seconds float64) []analyze.Sample {
	rows := seventeen()
	for ; k < len(rows); k++ {
		rows[k].At += seconds
	}
	return rows
}

// A clock that is set ahead by days in mid-charge neither cuts the charge in two nor lets
// anything flow meanwhile.
func TestAClockSetFarAheadCutsNoCharge(t *testing.T) {
	whole := run(agm17, seventeen())
	require.Len(t, whole.Sessions, 1)
	for _, days := range []float64{1, 40, 365} {
		got := run(agm17, leapt(400, days*24*anHour))
		require.Len(t, got.Sessions, 1, "%.0f days", days)
		a, b := &whole.Sessions[0], &got.Sessions[0]
		assert.Equal(t, a.Outcome, b.Outcome)
		assert.InDelta(t, float64(a.ChargeInAh), float64(b.ChargeInAh), 1e-6)
		assert.InDelta(t, float64(a.FinishS), float64(b.FinishS), 1e-6)
		assert.Empty(t, b.Gaps)
	}
}

// One row alone whose time was damaged sets no clock.
func TestOneRowFromTheFutureSetsNoClock(t *testing.T) {
	rows := seventeen()
	rows[400].At += 40 * 24 * anHour
	s := run(agm17, rows).Sessions
	require.Len(t, s, 1)
	assert.NotContains(t, codesOf(&s[0]), analyze.CodeClockStep)
}

// Another battery that is charged two days later, after a log that was cut off in mid-charge.
func TestAnotherChargeAfterAHoleStaysAnother(t *testing.T) {
	rows := seventeen()[:400]
	again := script(10, before, current, voltage, after)
	for k := range again {
		again[k].At += 50 * anHour
	}
	assert.Len(t, run(agm17, append(rows, again...)).Sessions, 2)
}

// Three days of a float that nobody recorded: the same current and voltage on both sides.
func TestAHoleInAFloatIsAHole(t *testing.T) {
	float := part{80 * anHour, always(13.6), always(0.3)}
	rows := without(script(10, before, current, fade(2*anHour, 14.4, 5, anHour), float), 6*anHour, 78*anHour)
	s := run(agm17, rows).Sessions
	require.NotEmpty(t, s)
	assert.Len(t, s[0].Gaps, 1)
	for k := range s {
		assert.NotContains(t, codesOf(&s[k]), analyze.CodeClockStep)
	}
}
