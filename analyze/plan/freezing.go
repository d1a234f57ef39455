package plan

import "amphora/analyze"

// coldestCharge is the temperature in degrees Celsius below which a battery at
// a state of charge (0 to 1) must not be charged; false where nothing is known
// of such a limit. Lead-acid of every kind gets the flooded table.
func coldestCharge(c analyze.Chemistry, state float64) (float64, bool) {
	switch {
	case c.Lithium():
		return lithiumColdest, true
	case c.Lead():
		return analyze.FreezingPoint(gravityFromState(state)), true
	}
	return 0, false
}

// hottestCharge is the temperature in degrees Celsius above which charging has
// to stop: 50 lead-acid (a retailer's page has 49), 45 lithium (a cell maker),
// 55 nickel (the usual default, no source; fast charge ends at 45).
func hottestCharge(c analyze.Chemistry) float64 {
	switch {
	case c.Lithium():
		return 45
	case c.Nickel():
		return 55
	}
	return 50
}
