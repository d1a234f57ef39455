package plan

import "amphora/analyze"

// TemperatureCoefficient is how much more capacity a lead-acid battery gives
// per kelvin, as a share: 0.006 in long discharges, 0.01 in those up to 3 h (a
// battery maker; the clause of IEC 60896-11 is from memory and agrees).
func TemperatureCoefficient(discharge float64) float64 {
	if discharge <= 3*hour {
		return 0.01
	}
	return 0.006
}

// CapacityAtReference refers a capacity measured at celsius to the reference
// temperature, in the unit of measured.
func CapacityAtReference(measured, celsius, reference, coefficient float64) float64 {
	return measured / (1 + coefficient*(celsius-reference))
}

// SizingFactor is the cell-size correction of IEEE 485 at a temperature in
// degrees Celsius, 1 at 25, by a published polynomial for its table (in
// hundreds of degrees; that the argument is so scaled is our finding, it gives
// 1.00 at 25). Another page's values are shifted by about 10 C and are wrong.
func SizingFactor(celsius float64) float64 {
	x := celsius / 100
	return ((-2.8117*x+4.1916)*x-2.4941)*x + 1.405
}

// ReplaceBelow and WatchBelow are shares of the rated capacity: a stationary
// battery below the first is replaced, below the second tested every year (a
// federal maintenance handbook).
const (
	ReplaceBelow = 0.80
	WatchBelow   = 0.90
)

// EndVoltsPerCell is where a capacity test of the given length in s ends, V.
// Lead: 1.75 at the 20-hour rate and 1.70 at the 5-hour rate (two texts), 1.80
// at 10 h from memory. NiMH, li-ion and lithium iron phosphate: their test
// standards and a data sheet; NiCd is tested like NiMH (from memory).
func EndVoltsPerCell(c analyze.Chemistry, discharge float64) float64 {
	switch {
	case c.Nickel():
		return 1.0
	case c == analyze.LiIon:
		return 2.75
	case c == analyze.LiFePO4:
		return 2.5
	case discharge <= 5*hour:
		return 1.70
	case discharge <= 10*hour:
		return 1.80
	}
	return 1.75
}
