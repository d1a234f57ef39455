package analyze_test

import (
	"math"

	"amphora/analyze"
)

// A lead that is off, or not on yet, beyond the plain cases among the hazards.

// hanging are the leads without a battery, for ten minutes.
func hanging(volts func(t float64) float64) part { return part{600, volts, always(0)} }

func looseNights() []must {
	return []must{
		{code: "open-circuit", name: "a charger for one cell with nothing on it", rows: func() []analyze.Sample {
			jumping := hanging(func(t float64) float64 { return 1 + 0.5*math.Sin(t) })
			return script(10, jumping, ramp(3*anHour, 1.25, 1.45, 0.5, 0.5), idle(anHour, 1.4))
		}, begins: 0, give: 30, within: 120, ends: 600, settles: 20, says: []string{"jumps about"}},
	}
}

func looseNeighbours() []neighbour {
	both := []analyze.Options{{}, agm17}
	return []neighbour{
		{code: "open-circuit", name: "leads in the air pick up hum before the clamps are on", of: both, rows: func() []analyze.Sample {
			hum := hanging(func(t float64) float64 { return 0.3 + 0.3*math.Sin(t) })
			return script(10, hum, idle(60, 12.5), current, voltage, after)
		}},
		{code: "open-circuit", name: "leads in the air show the last digit", of: both, rows: func() []analyze.Sample {
			digit := hanging(func(t float64) float64 { return 0.01 * math.Round(math.Sin(t)) })
			return script(10, digit, current, voltage, after)
		}},
	}
}
