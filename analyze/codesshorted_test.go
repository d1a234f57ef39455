package analyze_test

import (
	"math"

	"amphora/analyze"
)

// A cell that shorts in mid-charge, and what merely looks a little like it.

// falling is an hour and a half at some amperes, the voltage from low to high; then it falls by so much
// within so many seconds, and the same current flows on for two hours, while what is left climbs as before.
func falling(low, high, amps, by, within float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		rows := script(10, idle(600, low-0.4), ramp(1.5*anHour, low, high, amps, amps), ramp(within, high, high-by, amps, amps),
			ramp(2*anHour, high-by, high-by+0.3, amps, amps), settle(1800, high-by, high-by-0.3, 900))
		return jittered(rows, 0.01)
	}
}

// jittered rows scatter by so much, as those of a meter with steps that large do.
func jittered(rows []analyze.Sample, volts float64) []analyze.Sample {
	for k := range rows {
		rows[k].Volts = rounded(rows[k].Volts+volts*math.Sin(1.7*float64(k)), volts)
	}
	return rows
}

const fell = 600 + 1.5*anHour // s, when it falls

func shortedNights() []must {
	of := func(c analyze.Chemistry, cells int) []analyze.Options {
		return []analyze.Options{{}, {Chemistry: c}, {Chemistry: c, Cells: cells, Capacity: 40 * anHour}}
	}
	back := func() []analyze.Sample {
		return script(10, idle(600, 12.1), ramp(1.5*anHour, 12.5, 13.2, 3, 3), ramp(anHour, 11, 11.1, 3, 3), ramp(anHour, 13.3, 13.5, 3, 3), settle(1800, 13.4, 12.9, 900))
	}
	return []must{
		{code: "voltage-not-reached", name: "a lead-acid cell shorts at once", of: of(analyze.LeadAGM, 6), rows: falling(12.5, 13.2, 3, 2.15, 1),
			begins: fell, give: 20, within: 700, says: []string{"from 13.19", "to 11.0", "at once", "3 A", "warm", "measure the cells"}},
		{code: "voltage-not-reached", name: "a lead-acid cell shorts within half an hour", of: of(analyze.LeadFlooded, 6), rows: falling(12.5, 13.2, 3, 2.15, 1800),
			begins: fell, give: 240, within: 2500, says: []string{"from 13.1", "to 11.1", "within 2", "suspect a shorted cell"}},
		{code: "voltage-not-reached", name: "one of twelve", of: of(analyze.LeadAGM, 12)[2:], rows: falling(25.2, 26, 3, 2.15, 1),
			begins: fell, give: 20, within: 700, says: []string{"from 25.99", "one of 12 cells"}},
		{code: "voltage-not-reached", name: "a LiFePO4 cell shorts", of: of(analyze.LiFePO4, 4), rows: falling(13.1, 13.3, 5, 3.3, 1),
			begins: fell, give: 20, within: 700, says: []string{"from 13.3", "overcharge the others"}},
		{code: "voltage-not-reached", name: "a lithium-ion cell shorts within half an hour", of: of(analyze.LiIon, 7), rows: falling(24.5, 26.5, 2, 3.75, 1800),
			begins: fell, give: 240, within: 2500, says: []string{"from 26.", "overcharge the others"}},
		{code: "voltage-not-reached", name: "a nickel cell shorts", of: of(analyze.NiMH, 6)[1:], rows: falling(8.1, 8.4, 1, 1.4, 1),
			begins: fell, give: 20, within: 700, says: []string{"from 8.4", "warm"}},
		{code: "voltage-not-reached", name: "a source of constant power gives more as a cell shorts", of: of(analyze.LeadAGM, 6), rows: func() []analyze.Sample {
			return jittered(script(10, idle(600, 12.1), power(1.5*anHour, 12.5, 13.2, 40), power(2*anHour, 11.05, 11.3, 40), settle(1800, 11, 10.8, 900)), 0.01)
		}, begins: fell, give: 20, within: 700, says: []string{"from 13.1"}},
		{code: "voltage-not-reached", name: "the other cells climb, by more than half of what the one had", of: of(analyze.LeadAGM, 6), rows: func() []analyze.Sample {
			return jittered(script(10, idle(600, 12.1), ramp(1.5*anHour, 12.5, 13.2, 3, 3), ramp(5*anHour, 11.05, 12.9, 3, 3), settle(1800, 12.8, 12.4, 900)), 0.01)
		}, begins: fell, give: 20, within: 700, says: []string{"from 13.1"}},
		{code: "voltage-not-reached", name: "it is back for five minutes only", of: of(analyze.LeadAGM, 6), rows: func() []analyze.Sample {
			return script(10, idle(600, 12.1), ramp(1.5*anHour, 12.5, 13.2, 3, 3), ramp(anHour, 11, 11.1, 3, 3), steady(300, 13.3, 3), ramp(anHour, 11.1, 11.2, 3, 3), settle(1800, 11.1, 10.9, 900))
		}, begins: fell, give: 20, within: 700, says: []string{"from 13.1"}},
		{code: "voltage-not-reached", name: "it leaps back, so that it was a lead", of: of(analyze.LeadAGM, 6), rows: back,
			begins: fell, give: 20, within: 700, ends: fell + anHour, settles: 900, says: []string{"from 13.1"}},
	}
}

func shortedNeighbours() []neighbour {
	lead := []analyze.Options{{}, {Chemistry: analyze.LeadAGM}, {Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}}
	twelve := []analyze.Options{{}, {Chemistry: analyze.LeadAGM, Cells: 12, Capacity: 40 * anHour}}
	sinks := func(high, low float64) part { // as it does while a load takes all of the current, for an hour
		return part{anHour, func(t float64) float64 { return low + (high-low)*math.Exp(-t/120) }, always(4)}
	}
	moved := func(pause float64) func() []analyze.Sample {
		return func() []analyze.Sample {
			return script(10, idle(600, 12.3), ramp(anHour, 13, 13.6, 4, 4), steady(pause, 11.2, 0), ramp(2*anHour, 11.4, 14.4, 4, 4), fade(2*anHour, 14.4, 4, 1800), settle(1800, 13.2, 12.9, 900))
		}
	}
	return []neighbour{
		{code: "voltage-not-reached", name: "a load takes all the current for an hour", of: lead, rows: func() []analyze.Sample {
			return script(10, idle(600, 12.2), ramp(2*anHour, 12.8, 14.1, 4, 4), sinks(14.1, 12.65), ramp(600, 13.4, 14.2, 4, 4), fade(2*anHour, 14.4, 4, 1800), settle(1800, 13.2, 12.9, 900))
		}},
		{code: "voltage-not-reached", name: "the same, twelve cells", of: twelve, rows: func() []analyze.Sample {
			return script(10, idle(600, 24.4), ramp(2*anHour, 25.6, 28, 4, 4), sinks(28, 25.4), ramp(600, 26.8, 28.4, 4, 4), fade(2*anHour, 28.8, 4, 1800), settle(1800, 26.4, 25.8, 900))
		}},
		{code: "voltage-not-reached", name: "the charger is moved to a flat battery", of: lead, rows: moved(60)},
		{code: "voltage-not-reached", name: "a charger that gives less", of: lead, rows: func() []analyze.Sample {
			return script(10, idle(600, 12.2), ramp(anHour, 13.4, 14.2, 8, 8), ramp(4*anHour, 12.2, 14.4, 4, 4), fade(2*anHour, 14.4, 4, 1800), settle(1800, 13.2, 12.9, 900))
		}},
		{code: "voltage-not-reached", name: "digits are torn for eight minutes", of: lead, rows: func() []analyze.Sample {
			return script(10, idle(600, 12.2), ramp(2*anHour, 12.8, 13.6, 4, 4), steady(480, 11.3, 4), ramp(anHour, 13.6, 14.4, 4, 4), fade(2*anHour, 14.4, 4, 1800), settle(1800, 13.2, 12.9, 900))
		}},
		{code: "voltage-not-reached", name: "half of the rows are cut short for an hour", of: lead[2:], rows: func() []analyze.Sample {
			rows := script(10, idle(600, 12.2), ramp(2*anHour, 12.8, 13.6, 4, 4), ramp(anHour, 13.6, 14.4, 4, 4), fade(2*anHour, 14.4, 4, 1800), settle(1800, 13.2, 12.9, 900))
			for k := range rows {
				if t := rows[k].At - fell; t > 0 && t < anHour && k%5 < 2 {
					rows[k].Volts -= 5
				}
			}
			return rows
		}},
		{code: "voltage-not-reached", name: "one row leaps up", of: lead, rows: func() []analyze.Sample {
			rows := script(60, idle(600, 12.2), ramp(2*anHour, 12.8, 13.6, 4, 4), ramp(anHour, 13.6, 14.4, 4, 4), fade(2*anHour, 14.4, 4, 1800), settle(1800, 13.2, 12.9, 900))
			rows[80].Volts += 10
			return rows
		}},
	}
}
