package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// nickel is a pack's voltage that rises to a peak and sinks from there, V a cell.
func nickel(cells, top, at, drop float64) func(t float64) float64 {
	return func(t float64) float64 {
		if t < at {
			return cells * (top - 0.15*(at-t)/at)
		}
		return cells * (top - drop*min((t-at)/600, 1))
	}
}

func peakIn(tr *trace, cells int) peak {
	volts, _ := metersOf(tr)
	return findPeak(tr, len(tr.bins), cells, volts)
}

// NiMH sinks 5 to 10 mV a cell from its peak, NiCd 10 to 20 mV (from memory).
func TestSunkenVoltageAtASteadyCurrentIsAPeak(t *testing.T) {
	for _, cells := range []float64{1, 4, 6, 8, 10} {
		for _, drop := range []float64{0.005, 0.010, 0.020} {
			p := peakIn(drawn(460, 10, nickel(cells, 1.50, 4000, drop), flat(1)), 0)
			assert.True(t, p.found, "%g cells, %g V", cells, drop)
			assert.Equal(t, int(cells), p.cells)
			assert.InDelta(t, 4000, p.at, 60)
			assert.InDelta(t, cells*1.50, p.volts, 0.01*cells)
			assert.InDelta(t, cells*drop, p.drop, 0.003*cells)
		}
	}
}

func TestWhatIsNoPeak(t *testing.T) {
	sunk := nickel(6, 1.50, 4000, 0.010)
	for _, c := range []struct {
		name        string
		rows        int
		volts, amps func(float64) float64
	}{
		{"still rising", 390, sunk, flat(1)},
		{"less than 3 mV a cell", 430, nickel(6, 1.50, 4000, 0.002), flat(1)},
		{"the current sank with it", 460, sunk, func(t float64) float64 { return 1 - 0.2*max(t-4000, 0)/600 }},
		{"a handful of rows", 5, sunk, flat(1)},
		{"no number of nickel cells comes to 2.0 V", 460, func(t float64) float64 { return sunk(t) / 9 * 2.0 }, flat(1)},
	} {
		assert.False(t, peakIn(drawn(c.rows, 10, c.volts, c.amps), 0).found, c.name)
	}
}

func TestCellsOfANickelPackAreCountedByItsVoltage(t *testing.T) {
	for volts, cells := range map[float64]int{1.48: 1, 1.35: 1, 1.2: 0, 2.0: 0, 5.9: 4, 8.9: 6, 11.9: 8, 14.8: 10, 0: 0} {
		assert.Equal(t, cells, nickelCells(volts), "%g V", volts)
	}
}

// Nickel charged slowly rises and then stands, without a peak that shows.
func TestVoltageThatStopsRisingIsAPlateau(t *testing.T) {
	levelled := func(t float64) float64 { return 6 * (1.30 + 0.20*(1-math.Exp(-t/1500))) }
	tr := drawn(1000, 10, levelled, flat(0.2))
	volts, _ := metersOf(tr)
	assert.True(t, plateaued(tr, len(tr.bins), volts))
	rising := drawn(1000, 10, func(t float64) float64 { return 6 * (1.30 + t/50000) }, flat(0.2))
	assert.False(t, plateaued(rising, len(rising.bins), volts))
	assert.False(t, plateaued(tr, 19, volts), "too short to tell")
}
