package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What only seems to be held on the way up, under mains that sag, counts no lead-acid cells that
// the rest before it denies: with a cell too few the limit voltage is passed long before it is.
func TestTheRestBeforeDeniesCells(t *testing.T) {
	o := Options{Chemistry: LeadAGM}
	for _, c := range []struct {
		resting, held float64
		counted, want int
	}{
		{11.87, 12.6, 5, 6},
		{12.7, 14.4, 6, 6},
		{13.2, 14.4, 6, 6},      // fresh from another charger
		{Unknown(), 12.6, 5, 5}, // nobody saw it rest
		{9.8, 14.4, 6, 6},       // as flat as can be
		{23.8, 25.0, 10, 12},
	} {
		ch := charge{resting: c.resting, hold: hold{found: true, volts: c.held}}
		assert.Equal(t, c.want, ch.countedCells(&o, &identity{chemistry: LeadAGM, cells: c.counted}), "%g V at rest, %g V held", c.resting, c.held)
	}
}

// Without a voltage that was held, the rest before counts them, unless it stands lower than any
// battery that is alive; and what is held beyond what a cell may have counts none.
func TestCellsThatNothingCounts(t *testing.T) {
	o, id := Options{Chemistry: LeadAGM}, identity{chemistry: LeadAGM, cells: 2}
	for resting, want := range map[float64]int{12.2: 6, 9: 0, 13.4: 0} {
		ch := charge{resting: resting}
		assert.Equal(t, want, ch.countedCells(&o, &id), "%g V", resting)
	}
	ch := charge{resting: Unknown(), hold: hold{found: true, volts: 5.5}}
	assert.Zero(t, ch.countedCells(&o, &id), "2.75 V a cell")
}

// A charger that is set too high counts no lithium cells by what it holds; their rest before it does.
func TestTheRestBeforeCountsCellsThatAreHeldTooHigh(t *testing.T) {
	for _, c := range []struct {
		chemistry     Chemistry
		resting, held float64
		want          int
	}{
		{LiIon, 3.63, 4.36, 1}, {LiIon, 14.5, 17.6, 4}, {LiFePO4, 13.1, 15.4, 4}, {LiFePO4, 52.5, 60.8, 16},
		{LiIon, 36.3, 43.6, 0}, // ten at 4.36 V, or twelve on their way
		{LiIon, Unknown(), 17.6, 0},
		{LiIon, 36.3, 42.0, 10}, {LiFePO4, 23.1, 25.5, 7},
	} {
		ch := charge{resting: c.resting, hold: hold{found: true, volts: c.held}}
		id := identity{chemistry: c.chemistry, cells: cellsOf(c.chemistry, c.held, &ch.trace)}
		assert.Equal(t, c.want, ch.countedCells(&Options{Chemistry: c.chemistry}, &id), "%+v", c)
	}
}
