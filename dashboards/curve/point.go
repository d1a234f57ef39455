package curve

import (
	"math"

	"amphora/analyze"
)

// Point is one row of the curve, in SI units. What was not measured is NaN.
type Point struct {
	At      float64 // s since the log's first row, as analyze counts it
	Volts   float64 // V across the battery
	Amps    float64 // A into the battery
	Celsius float64 // degrees Celsius at the battery
}

// quantities is how many of a point's fields are measured.
const quantities = 3

// value is the q-th measured quantity of a point.
func (p *Point) value(q int) float64 {
	switch q {
	case 0:
		return p.Volts
	case 1:
		return p.Amps
	}
	return p.Celsius
}

// blank reports whether nothing was measured.
func (p *Point) blank() bool {
	return !analyze.Known(p.Volts) && !analyze.Known(p.Amps) && !analyze.Known(p.Celsius)
}

// orAbsent makes an overload (an infinite reading) absent: it has no place on
// any scale.
func orAbsent(x float64) float64 {
	if analyze.Known(x) {
		return x
	}
	return math.NaN()
}
