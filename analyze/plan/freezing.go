package plan

import "amphora/analyze"

// coldestCharge is the temperature in degrees Celsius below which a battery at
// a state of charge (0 to 1) must not be charged; false where nothing is known
// of such a limit. Lead-acid of every kind gets the flooded table.
func coldestCharge(c analyze.Chemistry, state float64) (float64, bool) {
	switch {
	case c.Lithium():
		return analyze.ColdestLithium, true
	case c.Lead():
		return analyze.FreezingPoint(gravityFromState(state)), true
	}
	return 0, false
}
