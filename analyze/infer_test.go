package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// inferred is what a battery is taken for that was held at a voltage, after a rise
// that is steep or not.
func inferred(o Options, held float64, rise func(share float64) float64, fade float64) identity {
	tr := drawn(1000+int(fade/5), 10, func(t float64) float64 { return held * rise(min(t/10000, 1)) },
		func(t float64) float64 { return 5 * math.Exp(-max(t-10000, 0)/fade) })
	volts, amps := metersOf(tr)
	h := findHold(tr, 0, volts, amps)
	return infer(&o, tr, &h, held, &peak{})
}

// A lead-acid battery rises all the way and tapers for hours.
func sloping(share float64) float64 { return 0.88 + 0.12*share }

// LiFePO4 stays on its plateau and leaves it when it is almost full.
func plateau(share float64) float64 { return 0.93 + 0.07*max(share-0.98, 0)/0.02 }

// Lead-acid at a twentieth of its capacity leaves its slope as late, but from further below.
func late(share float64) float64 { return 0.85 + 0.07*share + 0.08*max(share-0.98, 0)/0.02 }

// Held voltages a cell: lead-acid 2.28 to 2.60 V, LiFePO4 3.65 V, lithium-ion 4.20 V
// (reference, section 4).
func TestBatteryIsKnownByTheVoltageItIsHeldAt(t *testing.T) {
	for _, c := range []struct {
		name      string
		held      float64
		rise      func(float64) float64
		fade      float64
		chemistry Chemistry
		cells     int
	}{
		{"one lithium-ion cell", 4.20, sloping, 2000, LiIon, 1},
		{"three of them", 12.6, sloping, 2000, LiIon, 3},
		{"one LiFePO4 cell", 3.65, plateau, 300, LiFePO4, 1},
		{"6 V lead-acid", 7.2, sloping, 3000, LeadAGM, 3},
		{"12 V gel", 14.1, sloping, 3000, LeadGel, 6},
		{"12 V AGM", 14.5, sloping, 3000, LeadAGM, 6},
		{"12 V vented", 15.0, sloping, 3000, LeadFlooded, 6},
		{"12 V lead-acid, so slow that it climbs at its end only", 14.5, late, 600, LeadAGM, 6},
		{"four LiFePO4 cells, held where lead-acid is too", 14.4, plateau, 300, LiFePO4, 4},
	} {
		id := inferred(Options{}, c.held, c.rise, c.fade)
		assert.Equal(t, c.chemistry, id.chemistry, c.name)
		assert.Equal(t, c.cells, id.cells, c.name)
		assert.True(t, id.inferred, c.name)
	}
}

// LiFePO4 at a brisk rate, held at 3.5 V a cell: its plateau lies above the threshold, and it
// would pass for lead-acid that was held at 14.0 V.
func TestPlateauNearItsLimitIsNoLeadAcid(t *testing.T) {
	brisk := func(t float64) float64 { return (3.40 + 0.03*t + 0.07*math.Exp((t-1)/0.02)) / 3.5 }
	id := inferred(Options{}, 14.0, brisk, 300)
	assert.Empty(t, id.chemistry)
}

func TestCurveThatCannotTellIsSilent(t *testing.T) {
	id := inferred(Options{}, 10, sloping, 3000)
	assert.Empty(t, id.chemistry, "10 V is no number of cells of anything")
	assert.False(t, id.inferred)
	brief := drawn(8, 30, flat(14.4), func(t float64) float64 { return 5 * math.Exp(-t/60) })
	id = infer(&Options{}, brief, &hold{found: true}, 14.4, &peak{})
	assert.Empty(t, id.chemistry, "14.4 V at once: six lead-acid cells or four LiFePO4")
	id = infer(&Options{Cells: 6}, brief, &hold{}, Unknown(), &peak{})
	assert.Equal(t, identity{cells: 6}, id, "without a held voltage nothing is guessed")
}

// What is on the label stands; only the cells are counted if they are not told.
func TestWhatIsStatedIsNotInferred(t *testing.T) {
	for _, c := range []struct {
		chemistry Chemistry
		held      float64
		cells     int
	}{
		{LeadAGM, 14.4, 6}, {LeadGel, 28.4, 12}, {LiIon, 16.8, 4}, {LiFePO4, 14.6, 4}, {LiFePO4, 29.2, 8},
	} {
		id := inferred(Options{Chemistry: c.chemistry}, c.held, sloping, 3000)
		assert.Equal(t, c.chemistry, id.chemistry)
		assert.Equal(t, c.cells, id.cells)
		assert.False(t, id.inferred)
	}
	id := inferred(Options{Chemistry: LeadAGM, Cells: 5}, 14.4, sloping, 3000)
	assert.Equal(t, 5, id.cells)
	rise := drawn(100, 10, func(t float64) float64 { return 8.0 + t/1100 }, flat(1))
	assert.Equal(t, 6, cellsOf(NiMH, Unknown(), rise), "by the highest voltage, 8.99 V, where none was held")
	assert.Zero(t, cellsOf(NiMH, Unknown(), new(trace)))
}

func TestCellsNarrowWhatAVoltageCanMean(t *testing.T) {
	assert.Len(t, candidates(14.4, 0), 2)
	assert.Equal(t, []identity{{chemistry: LiFePO4, cells: 4}}, candidates(14.4, 4))
	assert.Equal(t, []identity{{chemistry: LeadAGM, cells: 6}}, candidates(14.4, 6))
	assert.Empty(t, candidates(14.4, 5))
}

// A peak at 1.5 V a cell at a steady current is nickel's alone.
func TestPeakIsNickel(t *testing.T) {
	id := infer(&Options{}, new(trace), &hold{}, Unknown(), &peak{found: true, volts: 9, drop: 0.05, cells: 6})
	assert.Equal(t, NiMH, id.chemistry)
	assert.Equal(t, 6, id.cells)
	assert.True(t, id.inferred)
	bent := infer(&Options{}, new(trace), &hold{}, Unknown(), &peak{found: true, volts: 9, cells: 6})
	assert.Empty(t, bent.chemistry, "others bend over, too, when they are full")
}
