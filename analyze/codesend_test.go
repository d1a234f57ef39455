package analyze_test

import (
	"math"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// How the current comes and goes: dropped, interrupted, pulsed, limited in power.

// paused is the usual charge with a pause before the end of its first hour.
func paused(seconds float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		return script(10, before, ramp(anHour, 12.6, 13.2, 5, 5), idle(seconds, 12.7), ramp(2*anHour, 13.2, 14.4, 5, 5), voltage, after)
	}
}

// rhythm is the usual charge with a minute's pause after each of these stretches, s.
func rhythm(stretches ...float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		parts, whole, v := []part{before}, 0.0, 12.6
		for _, s := range stretches {
			whole += s
		}
		for _, s := range stretches {
			to := v + 1.8*s/whole
			parts = append(parts, ramp(s, v, to, 5, 5), idle(60, v))
			v = to
		}
		return script(10, append(parts, voltage, after)...)
	}
}

// short is LiFePO4 that comes to its limit full: its current falls within a row or
// two, and a source that gives way instead takes the voltage down with it.
func short(last, rest float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		return script(60, idle(300, 13.2), ramp(2*anHour, 13.3, 13.45, 5, 5), ramp(600, 13.45, max(last, 13.45), 5, 5), steady(60, last, 2.9), settle(anHour, rest+0.05, rest, 600))
	}
}

// steepAtLast is four cells of LiFePO4 that rise by hardly a hundredth in three hours but for the last two minutes,
// from a source whose current falls so many times as far as the voltage rises.
func steepAtLast(times float64) func() []analyze.Sample {
	source := func(seconds, from, to float64) part {
		v := line(from, to, seconds)
		return part{seconds, v, func(t float64) float64 { return 5 * math.Pow(13.3/v(t), times) }}
	}
	return func() []analyze.Sample {
		limit := source(1, 14.4, 14.4).amps(0)
		return script(5, idle(600, 13.1), source(3*anHour-120, 13.3, 13.42), source(120, 13.42, 14.4), fade(1200, 14.4, limit, 240), settle(anHour, 14, 13.5, 600))
	}
}

func endNights() []must {
	timer := madeup.Named("mower-two-hour-timer")
	return []must{
		{code: "current-dropped", name: "the charger's own timer, far too early", of: []analyze.Options{{}, known(timer)}, rows: collected(timer),
			begins: 120 + 2*anHour, give: 10, within: 1860, says: []string{"2 h 02 min", "2 A still flowing", "look at the charger's lamps"}},
		{code: "current-dropped", name: "the same while nobody looked for two minutes", of: []analyze.Options{{}, known(timer)}, rows: unwatched(timer, 10, 115),
			begins: 110 + 2*anHour, give: 20, within: 1980},
		{code: "current-dropped", name: "while nobody looked for an hour of the ten that were still foretold", of: []analyze.Options{known(timer)}, rows: unwatched(timer, 1800, 1800),
			begins: 120 + 1.5*anHour, give: 20, within: 5460},
		{code: "current-dropped", name: "in constant voltage at 1.8 A of 5", of: []analyze.Options{agm17},
			rows:   func() []analyze.Sample { return script(10, before, current, fade(anHour, 14.4, 5, anHour), after) },
			begins: 600 + 4*anHour, give: 20, within: 1860, says: []string{"1.8"}},
		{code: "current-dropped", name: "iron phosphate whose source gives way", rows: short(13.35, 13.25), begins: 300 + 2*anHour + 660, give: 120, within: 1980},

		{code: "current-dropped", name: "a charger that first steps down to a twenty-fifth", of: []analyze.Options{{}, agm17},
			rows: func() []analyze.Sample {
				return script(10, before, ramp(anHour, 12.6, 13.2, 5, 5), ramp(60, 13.2, 12.8, 5, 0.22), ramp(1200, 12.8, 12.75, 0.22, 0.22), settle(anHour, 12.7, 12.6, 1800))
			},
			begins: 600 + anHour + 1260, give: 20, within: 1860, says: []string{"0.22 A"}},

		{code: "interrupted", name: "twelve minutes", of: []analyze.Options{{}, agm17}, rows: paused(720),
			begins: 600 + anHour, give: 10, within: 780, ends: 600 + anHour + 720, settles: 10, says: []string{"once, first at 1 h 10 min", "for 12 min"}},
		{code: "interrupted", name: "now and then", of: []analyze.Options{{}, agm17}, rows: rhythm(1000, 5000, 300, 4500),
			begins: 1600, give: 10, within: 120, ends: 600 + 10800 + 240, settles: 40, says: []string{"once, first at 26 min"}},

		{code: "pulsed", name: "a minute every half hour", of: []analyze.Options{{}, agm17}, rows: rhythm(1740, 1740, 1740, 1740, 1740, 2100),
			begins: 600 + 1740, give: 10, within: 3*1800 + 120, ends: 600 + 10800 + 360, settles: 70, says: []string{"about every 30 min", "its way of working"}},

		{code: "power-limited", name: "LiFePO4, which climbs only at the end", of: []analyze.Options{{}, lfp}, rows: steepAtLast(1),
			begins: 600, give: 20, within: 3.3 * anHour, ends: 600 + 3*anHour, settles: 60, says: []string{"about 66"}},
		{code: "power-limited", name: "72 W", of: []analyze.Options{{}, agm17}, rows: func() []analyze.Sample {
			return script(10, before, power(3*anHour, 12.0, 14.4, 72), voltage, after)
		}, begins: 600, give: 1500, within: 2.5 * anHour, ends: 600 + 3*anHour, settles: 20, says: []string{"72 W", "limited in power"}},
	}
}

func endNeighbours() []neighbour {
	done := madeup.Named("mower-two-hour-timer")
	done.Charger.Timer = 0
	both := []analyze.Options{{}, agm17}
	small := []analyze.Options{{}, {Chemistry: analyze.LiFePO4, Cells: 4, Capacity: 12 * anHour}}
	return []neighbour{
		{code: "current-dropped", name: "without the timer", of: []analyze.Options{{}, known(done)}, rows: collected(done)},
		{code: "current-dropped", name: "at a tenth of the current, the charger's own end", of: []analyze.Options{agm17},
			rows: func() []analyze.Sample { return script(10, before, current, fade(2.4*anHour, 14.4, 5, anHour), after) }},
		{code: "current-dropped", name: "a slow charge, ended a little above the usual tail", of: []analyze.Options{{}, agm100},
			rows: func() []analyze.Sample {
				return script(10, before, ramp(18*anHour, 12.2, 14.4, 5, 5), fade(0.8*anHour, 14.4, 5, anHour), after)
			}},
		{code: "current-dropped", name: "a slow lithium charge, ended at a fifteenth of its capacity", of: []analyze.Options{{}, {Chemistry: analyze.LiIon, Cells: 1, Capacity: 3 * anHour}},
			rows: func() []analyze.Sample {
				return script(10, idle(600, 3.6), ramp(5*anHour, 3.65, 4.2, 0.45, 0.45), fade(0.8*anHour, 4.2, 0.45, anHour), settle(anHour, 4.18, 4.16, 600))
			}},
		{code: "current-dropped", name: "at two fifths of the current, where nobody knows the capacity",
			rows: func() []analyze.Sample { return script(10, before, current, fade(0.9*anHour, 14.4, 5, anHour), after) }},
		{code: "current-dropped", name: "nickel by how fast it warms, its voltage at its highest", of: []analyze.Options{{Chemistry: analyze.NiMH, Cells: 1, Capacity: 5 * anHour}},
			rows: func() []analyze.Sample {
				return metered(30, 0.01, 0.01, idle(600, 1.28), ramp(0.8*anHour, 1.40, 1.44, 5, 5), ramp(0.16*anHour, 1.44, 1.50, 5, 5), settle(anHour, 1.45, 1.40, 300))
			}},
		{code: "current-dropped", name: "a taper too short to be seen", of: small, rows: short(14.4, 13.6)},
		{code: "current-dropped", name: "a charger that hunts about its limit", of: both, rows: func() []analyze.Sample {
			swing := func(depth, t float64) float64 { return 1 + depth*math.Sin(t/37) }
			return script(10, idle(300, 12.2), ramp(2*anHour, 12.6, 14.4, 3, 3), part{2 * anHour,
				func(t float64) float64 { return 14.4 * swing(0.004, t) },
				func(t float64) float64 { return 3 * math.Exp(-t/(1.2*anHour)) * swing(0.1, t) }}, settle(anHour, 13.4, 12.9, anHour))
		}},
		{code: "current-dropped", name: "a charger that looks at the open circuit for a minute", of: both, rows: paused(60)},

		{code: "current-dropped", name: "the sun sets before the battery is full", of: []analyze.Options{{}, agm100}, rows: func() []analyze.Sample {
			day := func(t float64) float64 { return math.Sin(math.Pi * t / (10 * anHour)) }
			return script(10, idle(600, 12.2), part{10 * anHour, func(t float64) float64 { return 12.4 + 0.3*t/(10*anHour) + 0.6*day(t) }, func(t float64) float64 { return 6 * day(t) }},
				settle(2*anHour, 12.68, 12.6, 1800))
		}},

		{code: "interrupted", name: "one row without current", of: both, rows: func() []analyze.Sample {
			rows := seventeen()
			rows[500].Amps = 0
			return rows
		}},
		{code: "interrupted", name: "a moment without current at the step down to float", of: both, rows: func() []analyze.Sample {
			return script(10, before, current, fade(3*anHour, 14.4, 5, anHour), idle(120, 13.9), steady(2*anHour, 13.6, 0.1), after)
		}},

		{code: "pulsed", name: "pauses that keep no time", of: both, rows: rhythm(600, 3600, 300, 4200, 900, 1200)},
		{code: "pulsed", name: "three of them are no habit yet", of: both, rows: rhythm(1740, 1740, 1740, 5580)},

		{code: "power-limited", name: "LiFePO4 whose source gives way four times as fast as its end climbs", of: []analyze.Options{{}, lfp}, rows: steepAtLast(4)},
		{code: "power-limited", name: "LiFePO4 at a steady current", of: []analyze.Options{{}, lfp}, rows: steepAtLast(0)},
		{code: "power-limited", name: "a hot charger that gives 3.5 and 1.5 A by turns, a little less of the one as the voltage rises", of: both, rows: func() []analyze.Sample {
			turns := func(t float64) float64 {
				if math.Mod(t, 600) < 600*(0.54-0.1*t/(6*anHour)) {
					return 3.5
				}
				return 1.5
			}
			return script(10, before, part{6 * anHour, line(12.6, 14.0, 6*anHour), turns}, fade(4*anHour, 14.4, 3.5, anHour), after)
		}},
		{code: "power-limited", name: "a current that sags by two hundredths", of: both, rows: func() []analyze.Sample {
			return script(10, before, ramp(3*anHour, 12.0, 14.4, 5, 4.9), voltage, after)
		}},
		{code: "power-limited", name: "a source that gives way faster than its voltage rises", of: both, rows: func() []analyze.Sample {
			return script(10, before, ramp(3*anHour, 12.0, 14.4, 5, 3), fade(3*anHour, 14.4, 3, anHour), after)
		}},
	}
}
