package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// tick is what a timeline is given, and what it is to make of it.
type tick struct {
	at, elapsed float64
	reason      string
	step        bool
	stray       bool // the row before
}

func follow(t *testing.T, ticks []tick) {
	t.Helper()
	var l timeline
	for k, x := range ticks {
		got := l.push(&Sample{At: x.at, Volts: 12 + float64(k), Amps: 1})
		assert.Equal(t, verdict{t: x.elapsed, reason: x.reason, step: x.step, stray: x.stray}, got, "row %d at %g", k, x.at)
	}
}

func TestElapsedTimeCountsFromTheFirstRow(t *testing.T) {
	follow(t, []tick{{at: 1e6}, {at: 1e6 + 10, elapsed: 10}, {at: 1e6 + 25, elapsed: 25}})
}

func TestStrayRowOfThePastIsLeftOut(t *testing.T) {
	follow(t, []tick{
		{at: 0}, {at: 10, elapsed: 10}, {at: 20, elapsed: 20},
		{at: 5, elapsed: 20, reason: reasonBackwards, step: true},
		{at: 30, elapsed: 30}, {at: 40, elapsed: 40},
	})
}

func TestClockSetBackCountsAsOneUsualInterval(t *testing.T) {
	follow(t, []tick{
		{at: 1000}, {at: 1010, elapsed: 10}, {at: 1020, elapsed: 20},
		{at: 500, elapsed: 20, reason: reasonBackwards, step: true},
		{at: 510, elapsed: 40}, // the row of the past took 10 s, and this one 10 s more
		{at: 520, elapsed: 50},
	})
}

func TestClockThatGoesBackAgainAndAgain(t *testing.T) {
	follow(t, []tick{
		{at: 1000}, {at: 1010, elapsed: 10},
		{at: 500, elapsed: 10, reason: reasonBackwards, step: true},
		{at: 400, elapsed: 10, reason: reasonBackwards, step: true},
		{at: 410, elapsed: 30},
	})
}

// A clock that was set back and is set forth again by as much, within one per cent.
func TestLeapThatUndoesAStepIsAStep(t *testing.T) {
	follow(t, []tick{
		{at: 5000}, {at: 5010, elapsed: 10}, {at: 5020, elapsed: 20},
		{at: 1420, elapsed: 20, reason: reasonBackwards, step: true}, // 3600 s back
		{at: 1430, elapsed: 40}, {at: 1440, elapsed: 50},
		{at: 5060, elapsed: 60, step: true},
		{at: 5070, elapsed: 70},
	})
}

// A leap forward of its own is a hole in the log, and takes its time.
func TestLeapWithoutAStepBeforeIsTime(t *testing.T) {
	follow(t, []tick{{at: 0}, {at: 10, elapsed: 10}, {at: 20, elapsed: 20}, {at: 3620, elapsed: 3620}})
}

// Two halves of lines that became one tell a time far ahead. The next row tells that
// it was none.
func TestStrayRowOfTheFutureIsTakenBack(t *testing.T) {
	follow(t, []tick{
		{at: 1000}, {at: 1020, elapsed: 20}, {at: 1040, elapsed: 40},
		{at: 101060, elapsed: 100060},
		{at: 1080, elapsed: 80, stray: true}, {at: 1100, elapsed: 100},
		{at: 1220, elapsed: 220}, // not long enough for a gap
		{at: 1140, elapsed: 140, stray: true}, {at: 1160, elapsed: 160},
		{at: 1220, elapsed: 220}, {at: 1200, elapsed: 200, stray: true}, {at: 1220, elapsed: 220},
	})
}

// A row after a real hole is no stray where the clock is set back there.
func TestClockSetBackAfterAHole(t *testing.T) {
	follow(t, []tick{
		{at: 1000}, {at: 1020, elapsed: 20}, {at: 1040, elapsed: 40},
		{at: 5000, elapsed: 4000},
		{at: 4000, elapsed: 4000, reason: reasonBackwards, step: true},
		{at: 4020, elapsed: 4040}, {at: 4040, elapsed: 4060},
	})
}

func TestRepeatedRowsAreToldFromAClockThatStands(t *testing.T) {
	var l timeline
	l.push(&Sample{At: 0, Volts: 12, Amps: 1})
	assert.Equal(t, reasonDuplicate, l.push(&Sample{At: 0, Volts: 12, Amps: 1}).reason)
	assert.Equal(t, reasonStill, l.push(&Sample{At: 0, Volts: 12.1, Amps: 1}).reason)
	assert.Equal(t, verdict{t: 10}, l.push(&Sample{At: 10, Volts: 12, Amps: 1}), "the same reading later is a reading")
}

func TestLowerMedianIsAValueThatWasThere(t *testing.T) {
	assert.Zero(t, lowerMedian(nil))
	assert.Equal(t, 3.0, lowerMedian([]float64{3}))
	assert.Equal(t, 1.0, lowerMedian([]float64{2, 1}))
	assert.Equal(t, 2.0, lowerMedian([]float64{9, 1, 2}))
	assert.Equal(t, 2.0, lowerMedian([]float64{9, 1, 2, 3}))
	assert.Equal(t, 3.0, lowerMedian([]float64{9, 1, 2, 3, 8}))
}
