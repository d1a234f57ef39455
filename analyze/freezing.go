package analyze

// gravityVolts is the voltage at rest of one cell less the specific gravity of its acid, V
// (a published rule; another page has 0.84).
const gravityVolts = 0.845

// freezing is the temperature at which the acid of lead cells turns to ice, degrees
// Celsius, going by their voltage at rest, V. NaN without a rest voltage.
func freezing(volts float64, cells int) float64 {
	if cells == 0 || !Known(volts) {
		return Unknown()
	}
	return FreezingPoint(volts/float64(cells) - gravityVolts)
}

// freezingPoints is the freezing point of battery acid, degrees Celsius against
// specific gravity: two army manuals and a vehicle maker, given in Fahrenheit.
// A consumer table says -16 F for SG 1.155 and -10 F for 1.120, which look like
// Celsius figures under the wrong letter: believing it would charge a frozen
// battery. A flat battery freezes near -10 C.
var freezingPoints = Table{
	{1.050, fahrenheit(27)}, {1.100, fahrenheit(18)}, {1.150, fahrenheit(5)}, {1.200, fahrenheit(-16)},
	{1.225, fahrenheit(-35)}, {1.250, fahrenheit(-62)}, {1.265, fahrenheit(-75)}, {1.280, fahrenheit(-90)},
}

func fahrenheit(f float64) float64 { return (f - 32) * 5 / 9 }

// FreezingPoint of acid of a specific gravity, in degrees Celsius.
func FreezingPoint(gravity float64) float64 { return freezingPoints.At(gravity) }
