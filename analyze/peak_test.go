package analyze

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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

// The mains make the current of an unregulated source wander, and with it the voltage; a
// coarse voltmeter makes two digits of one and a little. Where the kind is unknown, that could
// be any battery.
func TestAWanderingSourceIsNoPeak(t *testing.T) {
	rise := func(t float64) float64 { return 13.2 + 0.25*t/4000 }
	wander := func(t float64) float64 { return 1 - 0.02*max(t-3600, 0)/1000 }
	coarse := func(t float64) float64 { return math.Round(10*(13.46-0.002*max(3000-t, 0)-8e-5*max(t-3000, 0))) / 10 }
	for name, volts := range map[string]func(float64) float64{
		"sunk with the current": func(t float64) float64 { return min(rise(t), rise(3600)) - 2*(1-wander(t)) },
		"a coarse meter":        coarse,
	} {
		for rows := 200; rows < 460; rows += 6 {
			assert.False(t, peakIn(drawn(rows, 10, volts, wander), 0).found, "%s, %d rows", name, rows)
		}
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

// What nobody named is taken for nickel only where it came to its peak, and went from it, as
// nickel does.
func TestNotEveryPeakIsNickels(t *testing.T) {
	climbing := func(top float64) func(float64) float64 {
		return func(t float64) float64 {
			switch {
			case t < 3000:
				return 12.6 + 0.4*t/3000
			case t < 4000:
				return 13 + (top-13)*(t-3000)/1000
			}
			return top - 0.02*(t-4000)/100
		}
	}
	for _, c := range []struct {
		name   string
		volts  func(float64) float64
		rested float64
		nickel bool
	}{
		{"nickel", nickel(10, 1.50, 4000, 0.010), math.NaN(), true},
		{"a pack of ten nickel cells that climbs from 13 V", climbing(14.5), 12.5, true},
		{"six lead cells that gas, and warm", climbing(15.6), 12.5, false},
		{"a load that comes on little by little beside six lead cells", func(t float64) float64 {
			if t < 3000 {
				return 12.2 + 0.3*t/3000
			}
			return 12.2 + 0.3*math.Exp(-(t-3000)/1000)
		}, 12.13, false},
		{"a load that comes on beside the battery", func(t float64) float64 {
			if t < 3000 {
				return 12.6 + 0.5*t/3000
			}
			return 12.7
		}, math.NaN(), false},
		{"a load that comes on beside three of lithium, of little resistance", func(t float64) float64 {
			if t < 4000 {
				return 10.6 + 0.42*t/4000
			}
			return 10.88 + 0.06*math.Exp(-(t-4000)/150)
		}, math.NaN(), false},
		{"the same of six lead cells, and a coarse meter", func(t float64) float64 {
			v := 11.96 + 0.13*t/4000
			if t > 4000 {
				v = 11.95 + 0.06*math.Exp(-(t-4000)/150)
			}
			return math.Round(50*v) / 50
		}, math.NaN(), false},
		{"nickel, and a coarse meter", func(t float64) float64 {
			v := nickel(10, 1.50, 4000, 0.010)(t)
			return math.Round(50*v) / 50
		}, math.NaN(), true},
	} {
		tr := drawn(520, 10, c.volts, flat(1))
		p := peakIn(tr, 0)
		require.True(t, p.found, c.name)
		volts, _ := metersOf(tr)
		assert.Equal(t, c.nickel, p.likeNickel(tr, len(tr.bins), c.rested, volts), c.name)
	}
}

// The highest of many noisy rows is no peak, however long the voltage rises.
func TestNoiseIsNoPeak(t *testing.T) {
	for seed := range 20 {
		noise := rand.New(rand.NewPCG(uint64(seed), 0))
		volts := new(meter)
		tr := drawn(6000, 2, func(t float64) float64 {
			v := 12.3 + 0.5*t/12000 + 0.015*noise.NormFloat64()
			volts.push(v)
			return v
		}, flat(4))
		for end := 1000; end < len(tr.bins); end += 20 {
			require.False(t, findPeak(tr, end, 0, volts).found, "seed %d, bin %d", seed, end)
		}
	}
}
