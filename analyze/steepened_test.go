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

// Where nobody says that it is nickel, a timer may have cut a lead-acid battery off, and that is told.
func TestOnlyWhatIsNickelEndsBehindItsSteepestClimb(t *testing.T) {
	tr := drawn(51, 60, quickNickel(6), flat(2))
	volts, _ := metersOf(tr)
	c := &charge{trace: *tr, most: 2}
	for chemistry, ended := range map[Chemistry]bool{NiMH: true, NiCd: true, "": false, LeadAGM: false} {
		assert.Equal(t, ended, c.climbed(&Options{Chemistry: chemistry}, len(tr.bins), volts), chemistry)
	}
}
