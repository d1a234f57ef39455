package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func hole(from, to, before, after float64) *interval {
	return &interval{a: &row{t: from, i: before}, b: &row{t: to, i: after}, dt: to - from, gap: true}
}

// What may have flowed in an hour without rows: an estimate, and a bound that is a
// rectangle's, U = 2 (high - low)/(2 sqrt 3).
func TestGapsAreBoundedByTheirEdges(t *testing.T) {
	for _, c := range []struct {
		name            string
		before, after   float64
		flowed, flowing bool
		ah, low, high   float64
	}{
		{"current on both sides went on, or paused", 5, 4, true, true, 4.5, 0, 5},
		{"it stopped somewhere in between", 5, 0.003, true, false, 2.5, 0, 5},
		{"it began somewhere in between", 0.003, 4, false, true, 2, 0, 4},
		{"none on either side", 0.003, 0.002, false, false, 0, 0, 0},
		{"a discharge on both sides", -3, -3, true, true, -3, -3, 0},
	} {
		g := gapBetween(hole(1000, 4600, c.before, c.after), c.flowed, c.flowing)
		assert.Equal(t, Number(1000), g.StartS)
		assert.Equal(t, Number(4600), g.EndS)
		assert.InDelta(t, c.ah, float64(g.ChargeAh), 1e-9, c.name)
		assert.InDelta(t, (c.high-c.low)/math.Sqrt(3), float64(g.ChargeAhU95), 1e-9, c.name)
	}
}

// A logger that fails all night fills neither memory nor the page.
func TestGapsWithoutEndAreKeptShort(t *testing.T) {
	var l ledger
	for k := range 1000 {
		l.gap(hole(float64(k)*1000, float64(k)*1000+600, 6, 6), true, true, nil)
	}
	assert.Len(t, l.gaps, gapsKept)
	total := 0.0
	for _, g := range l.gaps {
		total += float64(g.ChargeAh)
	}
	assert.InDelta(t, 1000*1.0, total, 1e-6, "each of them an Ah")
	assert.Equal(t, Number(999600), l.gaps[gapsKept-1].EndS)
	assert.Len(t, l.notes.list, 1)
	assert.Zero(t, l.notes.first(CodeDataGap), "since the first one")
	assert.Contains(t, l.notes.find(CodeDataGap).Message, "the last of 1000 times")
}

func TestClockStepsAndOverloadsAreOneNoteEach(t *testing.T) {
	var l ledger
	l.clockStep(10, 3, nil)
	assert.NotContains(t, l.notes.find(CodeClockStep).Message, "times")
	l.clockStep(20, 5, nil)
	l.overload(30, 7, nil)
	l.overload(40, 9, nil)
	assert.Contains(t, l.notes.find(CodeClockStep).Message, "line 5 (the last of 2 times)")
	assert.Contains(t, l.notes.find(CodeOverloadReading).Message, "line 9 (the last of 2 times)")
	assert.Equal(t, 10.0, l.notes.first(CodeClockStep))
}

func TestLedgerThatGoesOnAbsorbsWhatCameAfter(t *testing.T) {
	var l, after ledger
	l.gap(hole(0, 100, 0, 0), false, false, nil)
	after.gap(hole(200, 300, 0, 0), false, false, nil)
	after.clockStep(250, 9, nil)
	after.overload(260, 10, nil)
	c := l.clone()
	l.absorb(&after)
	l.clockStep(400, 12, nil)
	l.overload(410, 13, nil)
	assert.Contains(t, l.notes.find(CodeClockStep).Message, "the last of 2 times")
	assert.Contains(t, l.notes.find(CodeOverloadReading).Message, "the last of 2 times")
	assert.Len(t, l.gaps, 2)
	assert.Equal(t, 250.0, l.notes.first(CodeClockStep))
	assert.Len(t, c.gaps, 1, "a clone goes its own way")
	assert.False(t, Known(c.notes.first(CodeClockStep)))
}
