package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// The hazards: runaway, temperature, voltage, frost, reversed leads, a lead off.

var (
	agm17 = analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 17 * anHour}
	liIon = analyze.Options{Chemistry: analyze.LiIon, Cells: 3, Capacity: 17 * anHour}
	lfp   = analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4, Capacity: 17 * anHour}
)

// seventeen is the usual charge of the scripts, a row every ten seconds: from 600 s on
// 5 A for three hours, 14.4 V for four, and a rest.
func seventeen() []analyze.Sample { return script(10, before, current, voltage, after) }

// eleven is the same for three cells of lithium-ion, up to so many volts.
func eleven(volts float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		return script(10, idle(600, 10.8), ramp(3*anHour, 11.0, volts, 5, 5), fade(2*anHour, volts, 5, anHour/2), settle(anHour, volts-0.1, volts-0.15, 600))
	}
}

// eitherKind is what may be six cells of lead-acid or four of iron phosphate: 14.4 V soon, from
// 1800 s on.
func eitherKind() []analyze.Sample {
	return script(10, idle(600, 12.9), ramp(1200, 13.8, 14.4, 5, 5), fade(2*anHour, 14.4, 5, anHour))
}

// heated is the usual charge at so many degrees.
func heated(celsius func(t float64) float64) func() []analyze.Sample {
	return func() []analyze.Sample { return warmed(seventeen(), celsius) }
}

// between is one temperature from a moment to another, and a milder one around.
func between(from, to, celsius, else_ float64) func(float64) float64 {
	return func(t float64) float64 {
		if t >= from && t < to {
			return celsius
		}
		return else_
	}
}

// turned is a charge whose current at the held voltage turns after four hours, from
// 0.58 A, and climbs by a share of that within half an hour.
func turned(share float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		low := 0.5 + 4.5*math.Exp(-4)
		falling := part{4 * anHour, always(14.4), func(t float64) float64 { return 0.5 + 4.5*math.Exp(-t/anHour) }}
		return script(10, before, current, falling,
			ramp(1800, 14.4, 14.4, low, low*(1+share)), ramp(600, 14.4, 14.4, low*(1+share), low), fade(2*anHour, 14.4, low, anHour), after)
	}
}

// flipped is a rest whose voltage has the wrong sign for the first 20 minutes.
func flipped(volts float64) func() []analyze.Sample {
	return func() []analyze.Sample { return script(10, idle(1200, volts), idle(1200, 12.4)) }
}

// unclamped is the usual charge; from a moment on the charger is alone for six minutes.
func unclamped(volts func(t float64) float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		alone := part{360, volts, always(0)}
		return script(10, before, ramp(anHour, 12.6, 13.2, 5, 5), alone, ramp(2*anHour, 13.2, 14.4, 5, 5), voltage, after)
	}
}

func hazardNights() []must {
	runaway, open := madeup.Named("runaway"), madeup.Named("open-lead")
	cold := changed("drill-three-cells", func(n *madeup.Night) { n.Battery.Celsius = -6 })
	frozen := changed("mower-float", func(n *madeup.Night) { n.Battery.Celsius, n.Battery.StateOfCharge = -18, 0.02 })
	limits := func(o analyze.Options, l analyze.Limits) []analyze.Options {
		o.Limits = l
		return []analyze.Options{o}
	}
	zero := 5.0
	return []must{
		{code: "thermal-runaway", name: "a battery that heats itself", of: []analyze.Options{{}, known(runaway)}, rows: collected(runaway),
			begins: 4 * anHour, give: 0.6 * anHour, within: 1.2 * anHour, ends: 120 + 6.2*anHour, settles: 10,
			says: []string{"14.70 V", "climbed from", "its temperature by +", "Switch the charger off"}},
		{code: "thermal-runaway", name: "a third in half an hour", of: []analyze.Options{{}, agm17}, rows: turned(0.33),
			begins: 600 + 7*anHour, give: 300, within: 1800, ends: 600 + 7*anHour + 1800 + 600, settles: 420,
			says: []string{"14.40 V", "0.58", "its temperature is not known"}},

		{code: "thermal-runaway", name: "on float", of: []analyze.Options{{}, agm17}, rows: func() []analyze.Sample {
			return script(10, before, current, fade(3*anHour, 14.4, 5, anHour), steady(3*anHour, 13.6, 0.06),
				part{2 * anHour, always(13.6), func(t float64) float64 { return 0.06 * math.Exp2(t/1500) }}, settle(anHour, 13.4, 13.1, 1800))
		},
			begins: 600 + 9*anHour, give: anHour, within: 1.7 * anHour, ends: 600 + 11*anHour, settles: 20, says: []string{"13.60 V", "Switch the charger off now"}},

		{code: "over-temperature", name: "lead-acid in the sun", of: []analyze.Options{agm17}, rows: heated(between(4000, 6000, 50.4, 30)),
			begins: 4000, within: 60, ends: 6000, settles: 10, says: []string{"50.4 °C", "50 °C", "default for lead-acid", "Switch the charger off"}},
		{code: "over-temperature", name: "still warm: it clears two degrees below", of: []analyze.Options{agm17},
			rows: heated(func(t float64) float64 {
				if t < 4000 {
					return 30
				}
				return 51 - (t-4000)/1000
			}),
			begins: 4000, within: 60, ends: 7050, settles: 60},
		{code: "over-temperature", name: "lithium", of: []analyze.Options{liIon}, rows: func() []analyze.Sample { return warmed(eleven(12.6)(), always(45.5)) },
			begins: 600, give: 10, within: 60, says: []string{"45.5 °C", "45 °C"}},
		{code: "over-temperature", name: "as set", of: limits(agm17, analyze.Limits{Hottest: 40.4}), rows: heated(between(4000, 6000, 40.5, 30)),
			begins: 4000, within: 60, ends: 6000, settles: 10, says: []string{"40.5 °C", "above 40.4 °C (as set)"}},

		{code: "over-temperature", name: "lead-acid or iron phosphate, once a voltage is held: no nickel", of: []analyze.Options{{}},
			rows: func() []analyze.Sample { return warmed(eitherKind(), between(6000, 8000, 51, 30)) }, begins: 6000, within: 60, ends: 8000, settles: 10,
			says: []string{"51.0 °C", "above 50 °C (the laxest default of what is held at such a voltage)"}},

		// 12.6 to 16.4 V in three hours: 15.9 V, 6 x 2.65, after 2.605 h.
		{code: "over-voltage", name: "lead-acid at 25 °C", of: []analyze.Options{agm17},
			rows: func() []analyze.Sample {
				return warmed(script(10, before, ramp(3*anHour, 12.6, 16.4, 5, 5), after), always(25))
			},
			begins: 600 + 3*anHour*(15.9-12.6)/3.8, give: 15, within: 60, ends: 600 + 3*anHour, settles: 10,
			says: []string{"15.90 V at 25 °C", "6 cells", "2.65 V", "Switch the charger off"}},
		{code: "over-voltage", name: "lead-acid in the heat, -4 mV/K", of: []analyze.Options{agm17},
			rows: func() []analyze.Sample {
				return warmed(script(10, before, ramp(3*anHour, 12.6, 15.8, 5, 5), after), always(40))
			},
			begins: 600 + 3*anHour*(15.54-12.6)/3.2, give: 15, within: 60, ends: 600 + 3*anHour, settles: 10,
			says: []string{"15.54 V at 40 °C"}},
		{code: "over-voltage", name: "three cells of lithium-ion held 70 mV too high", of: []analyze.Options{liIon}, rows: eleven(12.96),
			begins: 600 + 3*anHour*(12.75-11)/1.96, give: 10, within: 60, ends: 600 + 5*anHour, settles: 10,
			says: []string{"12.75 V", "3 cells"}},
		{code: "over-voltage", name: "iron phosphate", of: []analyze.Options{lfp},
			rows: func() []analyze.Sample {
				return script(10, before, ramp(3*anHour, 13.0, 15.2, 5, 5), settle(anHour, 14, 13.4, 600))
			},
			begins: 600 + 3*anHour*1.8/2.2, give: 15, within: 60, ends: 600 + 3*anHour, settles: 10},
		{code: "over-voltage", name: "six lead cells or four of iron phosphate, then the regulator fails", of: []analyze.Options{{}},
			rows: func() []analyze.Sample {
				return script(10, idle(600, 12.9), ramp(1200, 13.8, 14.4, 5, 5), fade(anHour, 14.4, 5, anHour), ramp(600, 14.6, 16.6, 5, 5), steady(anHour, 16.6, 5))
			},
			begins: 600 + 1200 + anHour + 390, give: 20, within: 120, says: []string{"above the limit of 15.90 V", "the laxest of what is held at such a voltage"}},
		{code: "over-voltage", name: "as set", of: limits(analyze.Options{}, analyze.Limits{Volts: 14.0}), rows: seventeen,
			begins: 600 + 3*anHour*1.4/1.8, give: 10, within: 60, ends: 600 + 7*anHour, settles: 10, says: []string{"14.00 V", "as set"}},

		{code: "under-temperature", name: "lithium in the frost", of: []analyze.Options{known(cold)}, rows: collected(cold),
			begins: 120, give: 10, within: 60, ends: lastFlow(cold), settles: 30, says: []string{"-6.", "0 °C", "lithium cells are damaged for good", "warm the battery first"}},
		{code: "under-temperature", name: "it thaws", of: []analyze.Options{lfp},
			rows: func() []analyze.Sample {
				return warmed(eleven(12.6)(), func(t float64) float64 { return -0.5 + max(t-4000, 0)/1000 })
			},
			begins: 600, give: 10, within: 60, ends: 4000 + 2550, settles: 60},
		{code: "under-temperature", name: "lead-acid, flat and frozen", of: []analyze.Options{known(frozen)}, rows: collected(frozen),
			begins: 120, give: 40, within: 150, ends: lastFlow(frozen), settles: 60, says: []string{"-1", "where the acid freezes", "may burst"}},
		{code: "under-temperature", name: "as set", of: limits(agm17, analyze.Limits{Coldest: &zero}), rows: heated(between(4000, 6000, 4.5, 8)),
			begins: 4000, within: 60, ends: 6000, settles: 10, says: []string{"4.5 °C", "5 °C", "as set"}},

		{code: "reverse-polarity", name: "red on black, until somebody turns them round", rows: flipped(-12.4),
			begins: 0, within: 40, ends: 1200, settles: 10, says: []string{"-12.40 V", "reversed", "Switch the charger off"}},
		{code: "reverse-polarity", name: "a flat cell the wrong way round, charged", rows: func() []analyze.Sample {
			return script(10, idle(600, -0.19), ramp(anHour, -0.18, -0.13, 1.5, 1.5), idle(600, -0.05))
		}, begins: 600, give: 40, within: 60, ends: 600 + anHour, settles: 120},
		{code: "reverse-polarity", name: "all night", rows: collected(madeup.Named("reversed-leads")), begins: 0, within: 30},

		{code: "open-circuit", name: "a clip slips off, and the voltage wanders", rows: collected(open),
			begins: 3000, give: 10, within: 60, says: []string{"no current", "V", "Look at the clamps first"}},
		{code: "open-circuit", name: "nothing on the leads, then clamped again", of: []analyze.Options{{}, agm17}, rows: unclamped(always(0.02)),
			begins: 600 + anHour, give: 10, within: 60, ends: 600 + anHour + 360, settles: 20, says: []string{"0.02 V"}},
		{code: "open-circuit", name: "the voltage wanders far below the battery's", of: []analyze.Options{{}, agm17},
			rows:   unclamped(func(t float64) float64 { return 10.8 + 2.1*math.Cos(t/60) }),
			begins: 600 + anHour + 105, give: 20, within: 40, ends: 600 + anHour + 360, settles: 20, says: []string{"the voltage fell to 9.93 V"}},
		{code: "open-circuit", name: "the charger's own voltage, above the battery's", of: []analyze.Options{{}, agm17}, rows: unclamped(always(13.6)),
			begins: 600 + anHour, give: 10, within: 60, ends: 600 + anHour + 360, settles: 20, says: []string{"13.60 V, above the 13.2"}},
		{code: "open-circuit", name: "at the held voltage, where the charger's own stands", of: []analyze.Options{{}, agm17},
			rows: func() []analyze.Sample {
				return script(10, before, current, fade(1800, 14.4, 5, anHour), idle(900, 14.4), fade(3*anHour, 14.4, 3, anHour), after)
			},
			begins: 600 + 3.5*anHour, give: 10, within: 400, ends: 600 + 3.75*anHour, settles: 20, says: []string{"stands at 14.40 V", "a lead has come loose"}},
		{code: "open-circuit", name: "at the held voltage, late in the taper of a lead-acid battery", of: []analyze.Options{{}, agm17},
			rows: func() []analyze.Sample {
				return script(10, before, current, fade(2*anHour, 14.4, 5, anHour), idle(anHour, 14.41))
			},
			begins: 600 + 5*anHour, give: 10, within: 400, says: []string{"stands at 14.41 V", "a lead has come loose"}},
		{code: "open-circuit", name: "the same by a coarse meter", of: []analyze.Options{agm17},
			rows: func() []analyze.Sample {
				rows := script(10, before, current, fade(2*anHour, 14.4, 5, anHour), idle(anHour, 14.41))
				for k := range rows {
					rows[k].Volts = math.Round(100*rows[k].Volts+0.7*math.Sin(7919*float64(k))) / 100
				}
				return rows
			},
			begins: 600 + 5*anHour, give: 10, within: 1500, says: []string{"stands at 14.4"}},
		{code: "open-circuit", name: "before any charge, then clamped", of: []analyze.Options{{}, agm17},
			rows: func() []analyze.Sample {
				jumping := part{600, func(t float64) float64 { return 13 + 1.5*math.Sin(t) }, always(0)}
				return script(10, jumping, current, voltage, after)
			},
			begins: 0, give: 20, within: 180, ends: 600, settles: 20, says: []string{"up and down"}},
	}
}

func hazardNeighbours() []neighbour {
	healthy := madeup.Named("runaway")
	healthy.Faults.RunawayAt = 0
	healthy.Charger.TailAmps = 0.3
	healthy.Plan = nil
	mains := madeup.Named("open-lead")
	mains.Faults = madeup.Faults{Lost: []madeup.Span{{From: 3000, To: 3300}}}
	mains.Plan = nil
	cool := changed("drill-three-cells", func(n *madeup.Night) { n.Battery.Celsius = 1 })
	slush := changed("mower-float", func(n *madeup.Night) { n.Battery.Celsius, n.Battery.StateOfCharge = -6, 0.7 })
	both := []analyze.Options{{}, agm17}
	return []neighbour{
		{code: "thermal-runaway", name: "a battery that does not", of: []analyze.Options{{}, known(healthy)}, rows: collected(healthy)},
		{code: "thermal-runaway", name: "an eighth in half an hour", of: both, rows: turned(0.12)},
		{code: "thermal-runaway", name: "a second absorption raises voltage and current", of: both, rows: func() []analyze.Sample {
			return script(10, before, current, fade(3*anHour, 14.4, 5, anHour),
				part{2 * anHour, always(14.7), func(t float64) float64 { return 0.25 + 0.3*(1-math.Exp(-t/1800)) }}, fade(anHour, 14.7, 0.5, 1200), after)
		}},
		{code: "thermal-runaway", name: "a load is switched on and off", of: both, rows: func() []analyze.Sample {
			load := fade(anHour, 14.4, 5*math.Exp(-2), anHour)
			amps := load.amps
			load.amps = func(t float64) float64 { return amps(t) + 1.5 }
			return script(10, before, current, fade(2*anHour, 14.4, 5, anHour), load, fade(2*anHour, 14.4, 5*math.Exp(-3), anHour), after)
		}},
		{code: "thermal-runaway", name: "the float's current comes back", of: both, rows: func() []analyze.Sample {
			return script(10, before, current, fade(3*anHour, 14.4, 5, anHour),
				part{5 * anHour, always(13.6), func(t float64) float64 { return 0.02 + 0.2*(1-math.Exp(-t/anHour)) }}, after)
		}},

		{code: "over-temperature", name: "lead-acid just below", of: []analyze.Options{agm17}, rows: heated(between(4000, 6000, 49.9, 30))},
		{code: "over-temperature", name: "lithium just below", of: []analyze.Options{liIon}, rows: func() []analyze.Sample { return warmed(eleven(12.6)(), always(44.9)) }},
		{code: "over-temperature", name: "two odd rows", of: both, rows: heated(between(4000, 4020, 90, 30))},
		{code: "over-temperature", name: "lead-acid or iron phosphate, just below", of: []analyze.Options{{}}, rows: func() []analyze.Sample { return warmed(eitherKind(), always(49.9)) }},
		{code: "over-temperature", name: "nothing known: the laxest limit stands", rows: heated(between(4000, 6000, 54, 30))},

		{code: "over-voltage", name: "lead-acid at 25 °C, just below", of: []analyze.Options{agm17},
			rows: func() []analyze.Sample {
				return warmed(script(10, before, ramp(3*anHour, 12.6, 15.88, 5, 5), fade(4*anHour, 15.88, 5, anHour), after), always(25))
			}},
		{code: "over-voltage", name: "what is too high in the heat is right in the cold", of: []analyze.Options{agm17},
			rows: func() []analyze.Sample {
				return warmed(script(10, before, ramp(3*anHour, 12.6, 15.8, 5, 5), fade(4*anHour, 15.8, 5, anHour), after), always(0))
			}},
		{code: "over-voltage", name: "lithium-ion just below", of: []analyze.Options{liIon}, rows: eleven(12.72)},
		{code: "over-voltage", name: "a limit that only seemed to be held, while a load took a part", of: []analyze.Options{{}}, rows: func() []analyze.Sample {
			return script(60, idle(600, 48.9), ramp(4*anHour, 51, 53.3, 2.8, 2.8), ramp(anHour, 53.3, 53.32, 2.8, 2.4), ramp(2*anHour, 53.7, 57, 2.8, 2.8),
				fade(4*anHour, 57, 2.8, anHour), settle(anHour, 54, 52, 1800))
		}},
		{code: "over-voltage", name: "two odd rows", of: []analyze.Options{agm17}, rows: func() []analyze.Sample {
			rows := seventeen()
			rows[700].Volts, rows[701].Volts = 18, 18
			return rows
		}},

		{code: "under-temperature", name: "lithium just above", of: []analyze.Options{known(cool)}, rows: collected(cool)},
		{code: "under-temperature", name: "lead-acid in the cold, not empty", of: []analyze.Options{known(slush)}, rows: collected(slush)},
		{code: "under-temperature", name: "lithium in the frost, not charged", of: []analyze.Options{lfp},
			rows: func() []analyze.Sample { return warmed(script(10, idle(2*anHour, 13.2)), always(-10)) }},

		{code: "reverse-polarity", name: "a meter whose zero is not zero, with nothing clamped", rows: flipped(-0.3)},
		{code: "reverse-polarity", name: "two odd rows", of: both, rows: func() []analyze.Sample {
			rows := seventeen()
			rows[700].Volts, rows[701].Volts = -13, -13
			return rows
		}},

		{code: "open-circuit", name: "the mains are away for five minutes", rows: collected(mains)},
		{code: "open-circuit", name: "spoilt lines, and another battery", of: both, rows: func() []analyze.Sample {
			rows := script(10, idle(1800, 12.7), idle(1800, 6.3), idle(1800, 12.6), current)
			for k := 20; k < 60; k += 9 {
				rows[k].Volts = 1
			}
			return rows
		}},
		{code: "open-circuit", name: "a battery that waits and sinks", of: both, rows: unclamped(func(t float64) float64 { return 12.8 - 0.1*t/360 })},
		{code: "open-circuit", name: "a lamp drains it meanwhile", of: both, rows: unclamped(func(t float64) float64 { return 11 + 1.8*math.Exp(-t/120) })},
		{code: "open-circuit", name: "the mains are away while the voltage is held", of: both, halts: true, rows: func() []analyze.Sample {
			return script(10, before, current, fade(1800, 14.4, 5, anHour), settle(900, 14.3, 13.6, 600), fade(3*anHour, 14.4, 3, anHour), after)
		}},
		{code: "open-circuit", name: "the electronics of a lithium battery open near its end", of: []analyze.Options{lfp}, rows: func() []analyze.Sample {
			return script(10, before, current, fade(1.4*anHour, 14.4, 5, anHour), idle(anHour, 14.4))
		}},
		{code: "open-circuit", name: "a full battery is taken away", of: both, rows: func() []analyze.Sample {
			return script(10, before, current, voltage, settle(anHour, 13.6, 12.9, 1800), idle(anHour, 0.02))
		}},
	}
}

// A voltage that was too high has reached whatever limit there is.
func TestAPassedLimitIsNotUnreached(t *testing.T) {
	rows := script(10, before, ramp(3*anHour, 12.6, 16.2, 5, 5), steady(3*anHour, 16.2, 5), after)
	s := run(agm17, rows).Sessions[0]
	assert.Contains(t, codesOf(&s), analyze.CodeOverVoltage)
	assert.NotContains(t, codesOf(&s), analyze.CodeVoltageNotReached)
}
