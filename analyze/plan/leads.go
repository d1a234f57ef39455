package plan

import "math"

// conductor is a cross-section in mm2 and the greatest resistance in ohm/km at
// 20 C that IEC 60228:2004 allows it in classes 5 and 6, plain copper: the fine
// strands that test leads and charger cables are made of. Three published
// copies agree; the heading "minimum" on one is its author's slip.
type conductor struct{ area, perKilometre float64 }

var flexible = []conductor{
	{0.5, 39.0}, {0.75, 26.0}, {1, 19.5}, {1.5, 13.3}, {2.5, 7.98}, {4, 4.95},
	{6, 3.30}, {10, 1.91}, {16, 1.21}, {25, 0.780}, {35, 0.554}, {50, 0.386},
}

const (
	squareMillimetre = 1e-6 // m2
	leadsReference   = 20.0 // degrees Celsius
)

// leadLoop is the resistance in ohm of a pair of copper leads, there and back,
// each of the given length in m and cross-section in m2, at a temperature in
// degrees Celsius. A size between the standard ones counts as the next smaller
// standard conductor scaled by area, which errs to the high side.
func leadLoop(length, area, celsius float64) float64 {
	size := area / squareMillimetre
	c := flexible[0]
	for _, next := range flexible {
		// A hair of room, since 2.5e-6/1e-6 is not quite 2.5.
		if next.area <= size*(1+1e-9) {
			c = next
		}
	}
	perMetre := c.perKilometre / 1000 * c.area / size
	return 2 * length * perMetre / leadTemperatureFactor(celsius)
}

// leadTemperatureFactor is kt of IEC 60228: resistance measured at a
// temperature times kt is the resistance at 20 C. Pure copper would be
// 1 + 0.00393 (t - 20); the standard's table follows 250/(230 + t).
func leadTemperatureFactor(celsius float64) float64 {
	return (230 + leadsReference) / (230 + celsius)
}

// leadDrop is what the leads take from the charger's voltage, V.
func leadDrop(loop, amps float64) float64 { return math.Abs(amps) * loop }
