package analyze_test

import (
	"math"

	"amphora/analyze"
)

// Chargers that look after a full battery, or nearly, and what looks like it.

// bursts is a charge whose charger goes over, at 2 A, to filling up to 14.6 V and waiting for
// eight minutes by turns.
func bursts() []analyze.Sample {
	parts := []part{before, current, fade(0.9*anHour, 14.4, 5, anHour)}
	for range 14 {
		parts = append(parts, settle(480, 14.5, 14.0, 300), ramp(600, 14.1, 14.6, 2, 2))
	}
	return script(10, append(parts, settle(480, 14.5, 14.0, 300))...)
}

// wandering is a current that stands at a held voltage, which wanders by a share.
func wandering(share float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		level := part{8 * anHour, func(t float64) float64 { return 14.4 * (1 + share*math.Sin(t/900)) },
			func(t float64) float64 { return 1.1 + 3.9*math.Exp(-t/(anHour/2)) }}
		return script(10, before, current, level, after)
	}
}

// toppedUp is the usual charge, something after it, and then a current of 2 A for so many seconds.
func toppedUp(seconds float64, then ...part) func() []analyze.Sample {
	return func() []analyze.Sample {
		parts := append([]part{before, current, voltage, settle(1.5*anHour, 14.0, 12.95, 600)}, then...)
		return script(10, append(parts, ramp(seconds, 13.2, 14.2, 2, 2), settle(1.5*anHour, 13.8, 12.95, 600))...)
	}
}

const toppedUpAt = 600 + 8.5*anHour

func upkeepNights() []must {
	both := []analyze.Options{{}, agm17}
	return []must{
		{code: "no-taper", name: "at a held voltage that wanders", of: both, rows: wandering(0.002),
			begins: 600 + 4*anHour, give: 2 * anHour, within: 5 * anHour, ends: 600 + 11*anHour, settles: 300, says: []string{"1.1 A"}},
		{code: "current-dropped", name: "after a full battery was used", of: both, rows: toppedUp(1200, steady(anHour, 12.3, -5), idle(1800, 12.5)),
			begins: toppedUpAt + 1.5*anHour + 1200, give: 10, within: 1860, says: []string{"2 A still flowing"}},
		{code: "current-dropped", name: "another battery after a full one", of: both, rows: toppedUp(1200, idle(120, 0.01), idle(600, 12.5)),
			begins: toppedUpAt + 720 + 1200, give: 10, within: 1860, says: []string{"2 A still flowing"}},
		{code: "current-dropped", name: "more than a full battery can have lost", of: both, rows: toppedUp(anHour),
			begins: toppedUpAt + anHour, give: 10, within: 1860, says: []string{"2 A still flowing"}},
	}
}

func upkeepNeighbours() []neighbour {
	both := []analyze.Options{{}, agm17}
	return []neighbour{
		{code: "no-taper", name: "a charger that fills and waits by turns", of: both, rows: bursts},
		{code: "current-dropped", name: "a full battery is topped up, and again", of: both, rows: toppedUp(600, ramp(400, 13.2, 14.2, 2, 2), settle(1.5*anHour, 13.8, 12.95, 600))},
	}
}
