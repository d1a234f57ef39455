package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Section 10 of the reference, those rows that apply: JCGM 100 5.1.2 equation
// (10) for independent inputs, 5.2 for correlated ones, a rectangular bound a has
// u = a/sqrt(3), k = 2.

// A bound of 1.5 has a standard uncertainty of 0.866 (printed 0.87, G3).
func TestRectangularBoundIsDividedByTheRootOfThree(t *testing.T) {
	assert.InDelta(t, 2*0.866, rectangular(-1.5, 1.5), 0.005)
	assert.InDelta(t, 2*1.5/math.Sqrt(3), rectangular(0, 3), 1e-12, "only the width counts")
	assert.Zero(t, rectangular(2, 2))
}

// One second at a current makes a charge of the same number, so chargeBudget says
// of a reading what the data sheet says of it.
func ofReading(reading, digit float64, a Accuracy) budget {
	return chargeBudget(totals{in: reading, onTime: 1}, a, digit, 0)
}

// Stated accuracies worked through: the bound a (gain and digits add up to it),
// and, where the two are taken as one bound, u = a/sqrt(3) and U = 2 u.
func TestStatedAccuracyBecomesABound(t *testing.T) {
	for _, row := range []struct {
		name           string
		reading, digit float64
		accuracy       Accuracy
		bound          float64
	}{
		{"2.000 V, 0.08 % + 2 digits of 1 mV (meter maker's working, G4)", 2.000, 0.001, Accuracy{Fraction: 0.0008, Digits: 2}, 0.0036},
		{"5.02 V, 2 % + 3 digits of 10 mV (meter maker's working, G5)", 5.02, 0.010, Accuracy{Fraction: 0.02, Digits: 3}, 0.1304},
		{"12.65 V, 0.05 % + 3 digits of 10 mV (derived)", 12.65, 0.010, Accuracy{Fraction: 0.0005, Digits: 3}, 0.036325},
		{"12.650 V, 0.05 % + 3 digits of 1 mV (derived)", 12.650, 0.001, Accuracy{Fraction: 0.0005, Digits: 3}, 0.009325},
		{"5.00 A, 0.5 % + 3 digits of 10 mA (derived)", 5.00, 0.010, Accuracy{Fraction: 0.005, Digits: 3}, 0.055},
		{"0.50 A, the same (derived)", 0.50, 0.010, Accuracy{Fraction: 0.005, Digits: 3}, 0.0325},
	} {
		t.Run(row.name, func(t *testing.T) {
			b := ofReading(row.reading, row.digit, row.accuracy)
			assert.InDelta(t, row.bound, (b.gain+b.zero)*math.Sqrt(3), 1e-6)
			assert.LessOrEqual(t, b.expanded(), 2*row.bound/math.Sqrt(3)+1e-12, "two independent terms are never worse than one bound of both")
			assert.GreaterOrEqual(t, b.expanded(), 2*row.bound/math.Sqrt(6)-1e-12, "nor better than by the root of two")
		})
	}
}

// 5.00 A for 4 h by a meter of 0.5 % + 3 digits of 10 mA: gain 0.014434 A, zero
// 0.017321 A, together 0.022546 A and 0.09018 Ah (derived). As one bound it would be
// 0.1270 Ah, which is the sum of the two terms.
func TestOneMetersErrorsDoNotAverageOut(t *testing.T) {
	const seconds = 4 * 3600
	b := chargeBudget(totals{in: 5.00 * seconds, onTime: seconds}, Accuracy{Fraction: 0.005, Digits: 3}, 0.010, 0)
	assert.InDelta(t, 0.014434, b.gain/seconds, 1e-6)
	assert.InDelta(t, 0.017321, b.zero/seconds, 1e-6)
	assert.InDelta(t, 0.09018, ampHours(b.expanded()/2), 1e-5)
	assert.InDelta(t, 0.1270, ampHours(b.gain+b.zero), 1e-4)
	assert.InDelta(t, 0.2540, ampHours(2*(b.gain+b.zero)), 1e-4)
}

// 14 400 samples of 1 s with 0.02 A of white noise: u = s dt sqrt(n) = 6.67e-4 Ah
// (derived).
func TestNoiseAveragesOut(t *testing.T) {
	var sum totals
	for k := range 4 * 3600 {
		iv := interval{a: &row{t: float64(k), i: 5}, b: &row{t: float64(k + 1), i: 5}, dt: 1, usual: 1}
		sum.integrate(&iv, 0.1, 0.02)
	}
	assert.InDelta(t, 6.67e-4, ampHours(chargeBudget(sum, Accuracy{}, 0, 0).sampling), 1e-6)
}

// A zero that is 10 mA off adds up to 0.100 Ah in 10 h (derived, exact); a stated
// zero error counts for as long as current flows, however little flows.
func TestZeroOfTheMeterRulesALongFloat(t *testing.T) {
	b := chargeBudget(totals{in: 0, onTime: 10 * 3600}, Accuracy{Absolute: 0.010}, 0.001, 0)
	assert.InDelta(t, 0.100, ampHours(b.zero*math.Sqrt(3)), 1e-12)
	assert.Zero(t, b.gain)
}

// A meter that shows 50 mA without current may be off by as much all night: what went in
// lies within 10 h x 50 mA of what was counted, whatever accuracy was stated. Where it
// shows less than stated, the statement holds.
func TestZeroThatIsSeenBoundsTheZero(t *testing.T) {
	stated := Accuracy{Absolute: 0.010}
	night := totals{in: 50 * 3600, onTime: 10 * 3600}
	for _, shown := range []float64{0.050, -0.050} {
		assert.InDelta(t, 10*0.050/math.Sqrt(3), ampHours(chargeBudget(night, stated, 0.001, shown).zero), 1e-9)
	}
	assert.Equal(t, chargeBudget(night, stated, 0.001, 0), chargeBudget(night, stated, 0.001, 0.009))
}
