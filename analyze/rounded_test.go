package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// quickNickel is a pack that is full after an hour: it climbs ever more steeply, bends over
// and stands, V; a display of 10 mV shows no more.
func quickNickel(cells float64) func(t float64) float64 {
	return func(t float64) float64 {
		v := cells * (1.34 + 0.06*t/3600 + 0.12/(1+math.Exp(-(t-3000)/150)) - 0.002*max(t-3660, 0)/60)
		return math.Round(100*v) / 100
	}
}

// A row a minute, and the charger stops some minutes after the steepest rise: full. A timer
// that stops it before, on the steepest rise or long before, leaves it half empty.
func TestSteepRiseThatBendsOverIsTheEndOfNickel(t *testing.T) {
	for until, full := range map[int]bool{20: false, 30: false, 45: false, 50: false, 61: true, 63: true} {
		tr := drawn(until, 60, quickNickel(6), flat(2))
		volts, _ := metersOf(tr)
		assert.Equal(t, full, levelled(tr, len(tr.bins), &Options{Chemistry: NiMH, Capacity: 4 * secondsPerHour}, volts), "stopped after %d min", until)
	}
}

func TestWhatBendsOverAndIsNotFull(t *testing.T) {
	settling := func(t float64) float64 { return 6 * (1.40 - 0.1*math.Exp(-t/600)) }
	fading := func(t float64) float64 { return 2 - 0.5/(1+math.Exp(-(t-3400)/30)) }
	for _, c := range []struct {
		name        string
		rows        int
		volts, amps func(float64) float64
		chemistry   Chemistry
	}{
		{"a voltage that only settles", 30, settling, flat(2), ""},
		{"the current bent over", 60, quickNickel(6), fading, NiMH},
		{"lead-acid that gasses, and rises still", 58, quickNickel(10), flat(2), ""},
		{"no nickel", 63, quickNickel(6), flat(2), LeadAGM},
	} {
		tr := drawn(c.rows, 60, c.volts, c.amps)
		volts, _ := metersOf(tr)
		assert.False(t, levelled(tr, len(tr.bins), &Options{Chemistry: c.chemistry}, volts), c.name)
	}
}

// Half full, the voltage of a quick charge levels off as that of a slow one does when it is full.
func TestAQuickChargeIsNotFullWhereItsVoltageOnlyLevelsOff(t *testing.T) {
	tr := drawn(60, 60, func(t float64) float64 { return 6 * (1.42 - 0.12*math.Exp(-t/500)) }, flat(2))
	volts, _ := metersOf(tr)
	for ampHours, full := range map[float64]bool{20: true, 4: false, 0: true} {
		assert.Equal(t, full, levelled(tr, len(tr.bins), &Options{Chemistry: NiMH, Capacity: ampHours * secondsPerHour}, volts), "%g Ah; 0 is not known", ampHours)
	}
}

// A charger that steps down to a trickle has done with its full current. The bin in which it
// did is mixed of both.
func TestFullCurrentEndsBeforeTheTrickle(t *testing.T) {
	stepped := func(t float64) float64 {
		switch {
		case t < 3000:
			return 2
		case t < 3060:
			return 1.5
		}
		return 0.1
	}
	tr := drawn(80, 60, flat(8.6), stepped)
	assert.Equal(t, 50, tr.fullUntil(len(tr.bins), 2))
	assert.Equal(t, 40, tr.fullUntil(40, 2), "nothing has stepped down yet")
}
