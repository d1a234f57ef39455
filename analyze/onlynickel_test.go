package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWhatStandsWhereNothingElseDoesIsNickel(t *testing.T) {
	for _, c := range []struct {
		volts float64
		of    Options
		sure  bool
	}{
		{1.48, Options{}, true},
		{2.95, Options{}, true},
		{5.95, Options{}, true},
		{9.0, Options{}, true},
		{4.2, Options{}, false},  // three, or one of li-ion
		{7.4, Options{}, false},  // five, or three of lead-acid that gasses
		{8.4, Options{}, false},  // six that are not full, or two of li-ion
		{11.9, Options{}, false}, // eight, or three of li-ion
		{14.6, Options{}, false}, // ten, or six of lead-acid
		{14.6, Options{Cells: 10}, true},
		{14.6, Options{Cells: 6}, false},
		{14.6, Options{Chemistry: NiCd}, true},
		{9.0, Options{Chemistry: LeadAGM}, false},
		{6.4, Options{}, false}, // no nickel
	} {
		assert.Equal(t, c.sure, surelyNickel(&c.of, c.volts), "%g V, %v", c.volts, c.of)
	}
}

// A slow charge of cells that nobody named lasts half a day, and they stand when they are full. After
// two hours they stand half full; and what may be lead-acid may gas.
func TestCellsThatStandAfterALongChargeAreFull(t *testing.T) {
	for _, c := range []struct {
		cells, hours float64
		full         bool
	}{{4, 14, true}, {4, 2, false}, {10, 14, false}} {
		tr := drawn(600, c.hours*6, func(t float64) float64 { return c.cells * (1.47 - 0.1*max(1-t/(c.hours*2400), 0)) }, flat(0.2))
		volts, _ := metersOf(tr)
		assert.Equal(t, c.full, levelled(tr, len(tr.bins), &Options{}, volts), "%g cells for %g h", c.cells, c.hours)
	}
}
