package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A charger that goes by how the cells warm ends before or on the peak: just behind the steepest
// climb. One that stops in mid-charge does not, nor does what only settles, or has no nickel's voltage.
func TestAVoltageThatClimbedEverMoreSteeplyHadItsEndBefore(t *testing.T) {
	settling := func(t float64) float64 { return 6 * (1.40 - 0.1*math.Exp(-t/600)) }
	for _, c := range []struct {
		name  string
		rows  int
		volts func(float64) float64
		near  bool
	}{
		{"in mid-charge", 35, quickNickel(6), false},
		{"on the steepest climb", 51, quickNickel(6), true},
		{"bending over", 57, quickNickel(6), true},
		{"it only settles", 57, settling, false},
		{"a voltage that no nickel has", 57, func(t float64) float64 { return quickNickel(6)(t) - 6.8 }, false},
		{"too soon", 14, func(t float64) float64 { return quickNickel(6)(4 * t) }, false},
	} {
		tr := drawn(c.rows, 60, c.volts, flat(2))
		volts, _ := metersOf(tr)
		assert.Equal(t, c.near, steepened(tr, len(tr.bins), volts), c.name)
	}
}

// A coarse meter shows no pace of a few minutes; over a quarter of the charge the voltage climbs twice
// as fast in the end. One that climbs as fast all the time, or ever more slowly, was cut off.
func TestACoarseMeterShowsTheClimbOverAQuarter(t *testing.T) {
	for name, c := range map[string]struct {
		more float64 // V a cell and hour, in the last third of an hour
		near bool
	}{"twice as fast and more": {0.11, true}, "as fast": {0, false}, "more slowly": {-0.02, false}} {
		tr := drawn(360, 10, func(t float64) float64 {
			return math.Round(100*(2.8+2*(0.05*t+c.more*max(t-2400, 0))/3600)) / 100
		}, flat(2))
		volts, _ := metersOf(tr)
		assert.Equal(t, c.near, steepened(tr, len(tr.bins), volts), name)
	}
}

// Ten cells of nickel stand where six of lead-acid do, which a timer may have cut off, and that is told.
// Six do not: at 9 V nothing else is usual.
func TestOnlyWhatIsNickelEndsBehindItsSteepestClimb(t *testing.T) {
	for cells, unnamed := range map[float64]bool{6: true, 10: false} {
		tr := drawn(51, 60, quickNickel(cells), flat(2))
		volts, _ := metersOf(tr)
		c := &charge{trace: *tr, most: 2}
		for chemistry, ended := range map[Chemistry]bool{NiMH: true, NiCd: true, "": unnamed, LeadAGM: false} {
			assert.Equal(t, ended, c.climbed(&Options{Chemistry: chemistry}, len(tr.bins), volts), "%g cells, %s", cells, chemistry)
		}
	}
}
