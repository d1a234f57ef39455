package analyze

import "math"

// Sample is one reading of a battery, in SI units. What was not measured is
// NaN, never zero. Current is positive into the battery.
type Sample struct {
	At      float64 // s on the source's own clock; only differences matter, and it may misbehave
	Volts   float64 // V across the battery
	Amps    float64 // A into the battery
	Celsius float64 // degrees Celsius at the battery
	Counter float64 // C, the meter's own charge counter
	Wall    int64   // ns since 1970-01-01 UTC, 0 where the source does not know the date
	Line    int     // line of the log, counted from 1; 0 when there is none
	Skew    float64 // s by which Volts and Amps may be from different moments; 0 where one meter took both
}

// Unknown is the value of a quantity that was not measured.
func Unknown() float64 { return math.NaN() }

// Known reports whether a quantity was measured: neither NaN nor infinite.
func Known[F ~float64](x F) bool { return x-x == 0 }
