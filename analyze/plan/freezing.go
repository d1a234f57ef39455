package plan

import "amphora/analyze"

// freezing is the freezing point of battery acid, degrees Celsius against
// specific gravity: two army manuals and a vehicle maker, given in Fahrenheit.
// A consumer table says -16 F for SG 1.155 and -10 F for 1.120, which look like
// Celsius figures under the wrong letter: believing it would charge a frozen
// battery. A flat battery freezes near -10 C.
var freezing = []point{
	{1.050, fahrenheit(27)}, {1.100, fahrenheit(18)}, {1.150, fahrenheit(5)}, {1.200, fahrenheit(-16)},
	{1.225, fahrenheit(-35)}, {1.250, fahrenheit(-62)}, {1.265, fahrenheit(-75)}, {1.280, fahrenheit(-90)},
}

func fahrenheit(f float64) float64 { return (f - 32) * 5 / 9 }

// FreezingPoint of acid of a specific gravity, in degrees Celsius.
func FreezingPoint(gravity float64) float64 { return interpolate(freezing, gravity) }

// ColdestCharge is the temperature in degrees Celsius below which a battery at
// a state of charge (0 to 1) must not be charged; false where nothing is known
// of such a limit. Lead-acid of every kind gets the flooded table.
func ColdestCharge(c analyze.Chemistry, state float64) (float64, bool) {
	switch {
	case c.Lithium():
		return lithiumColdest, true
	case c.Lead():
		return FreezingPoint(GravityFromState(state)), true
	}
	return 0, false
}

// HottestCharge is the temperature in degrees Celsius above which charging has
// to stop: 50 lead-acid (a retailer's page has 49), 45 lithium (a cell maker),
// 55 nickel (the usual default, no source; fast charge ends at 45).
func HottestCharge(c analyze.Chemistry) float64 {
	switch {
	case c.Lithium():
		return 45
	case c.Nickel():
		return 55
	}
	return 50
}
