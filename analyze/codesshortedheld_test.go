package analyze_test

import (
	"math"

	"amphora/analyze"
)

// A cell that shorts while the voltage is held, and what merely looks a little like it.

// leaping is the usual charge until it has been held for an hour; then all of the current flows, and the voltage goes where it
// is told.
func leaping(then ...part) func() []analyze.Sample {
	held := []part{idle(600, 12.3), ramp(2*anHour, 12.6, 14.4, 5, 5), fade(anHour, 14.4, 5, anHour)}
	return func() []analyze.Sample { return jittered(script(10, append(held, then...)...), 0.01) }
}

const leaptAt = 600 + 3*anHour // s, when it does

// others are the five that are left: they polarise within minutes, and then sink as they warm.
func others(seconds, from, climb float64) part {
	return part{seconds, func(t float64) float64 { return from + climb*(1-math.Exp(-t/600)) - 0.05*t/anHour }, always(5)}
}

func leaptNights() []must {
	of := []analyze.Options{{}, {Chemistry: analyze.LeadAGM}, {Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}}
	return []must{
		{code: "voltage-not-reached", name: "a lead-acid cell shorts at the held voltage", of: of, rows: leaping(others(3*anHour, 13.4, 0.25), settle(1800, 12.8, 11, 900)),
			begins: leaptAt, give: 20, within: anHour, says: []string{"from 14.40 to 13.4", "from 1.8", "to 5 A", "shorted"}},
		{code: "voltage-not-reached", name: "one that has hardly begun to fill", of: of, rows: leaping(others(3*anHour, 12.8, 1.1), settle(1800, 12.8, 11, 900)),
			begins: leaptAt, give: 20, within: 2 * anHour, says: []string{"from 14.40 to 1", "and stands at 13.8"}},
	}
}

func leaptNeighbours() []neighbour {
	of := []analyze.Options{{}, {Chemistry: analyze.LeadAGM}, {Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}}
	end := []part{fade(2*anHour, 14.4, 1.8, 2000), settle(1800, 13.3, 12.9, 900)}
	all := func(p ...part) func() []analyze.Sample { return leaping(append(p, end...)...) }
	gives := part{2 * anHour, func(t float64) float64 { return 12.9 + 0.5*math.Exp(-t/1500) }, always(5)}
	starts := part{2 * anHour, func(t float64) float64 { return 13.2 - 0.3*math.Exp(-t/20) - 0.2*t/anHour }, always(5)}
	return []neighbour{
		{code: "voltage-not-reached", name: "a load takes all the charger gives while it holds", of: of, rows: all(gives)},
		{code: "voltage-not-reached", name: "one that starts hard", of: of, rows: all(starts)},
		{code: "voltage-not-reached", name: "another battery is put beside it", of: of, rows: all(ramp(2*anHour, 13, 14.4, 5, 5))},
		{code: "voltage-not-reached", name: "a load for a quarter of an hour", of: of, rows: all(others(900, 13.4, 0.25))},
		{code: "voltage-not-reached", name: "two loads, one after the other", of: of, rows: all(others(1200, 13.9, 0.1), steady(1800, 13.5, 5))},
		{code: "voltage-not-reached", name: "the charger looks after a battery on float", of: of, rows: leaping(fade(2*anHour, 14.4, 1.8, 2000), steady(2*anHour, 13.6, 0.1), ramp(300, 13.8, 14.4, 5, 5), fade(1800, 14.4, 1, 600), steady(anHour, 13.6, 0.1))},
	}
}
