package analyze_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// Stalled against slow: each looks different, and the message says which.

// slowly is so many hours at one current, of a voltage over the hours, with two
// millivolts of scatter, and an hour's rest.
func slowly(hours, amps float64, volts func(h float64) float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		scatter := func(t float64) float64 { return 0.002 * math.Sin(t*1.7/30) }
		rise := part{hours * anHour, func(t float64) float64 { return volts(t/anHour) + scatter(t) }, always(amps)}
		return script(30, idle(300, volts(0)-0.3), rise, settle(anHour, volts(hours)-0.1, volts(hours)-0.3, 1800))
	}
}

// roughly is the same by a meter that shows tenths of a volt and scatters by one of them.
func roughly(hours, amps float64, volts func(h float64) float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		rows, r := slowly(hours, amps, volts)(), rand.New(rand.NewPCG(2, 7))
		for k := range rows {
			rows[k].Volts = rounded(rows[k].Volts+0.1*r.NormFloat64(), 0.1)
		}
		return rows
	}
}

// loaded is the voltage, over the hours, of a battery of 100 Ah beside which a load takes all of 5 A for some of them.
func loaded(from, until float64) func(h float64) float64 {
	return func(h float64) float64 {
		stood := max(0, min(h, until)-from)
		v := 12.2 + 0.04*(h-stood)
		if h > from && h < until {
			v -= 0.05 + 0.05*(1-math.Exp(-stood))
		}
		return v
	}
}

// trickling is a charge of 3 h at 5 A in which, after 1.4 h, so many amperes are left
// for some hours.
func trickling(hours float64, amps func(t float64) float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		return script(20, idle(300, 12.2), ramp(1.4*anHour, 12.4, 12.8, 5, 5),
			part{hours * anHour, func(t float64) float64 { return 12.3 + 0.15*math.Exp(-t/600) + 0.002*math.Sin(t) }, amps},
			ramp(1.6*anHour, 12.8, 14.4, 5, 5), fade(4*anHour, 14.4, 5, anHour), after)
	}
}

// fridge is what is left for the battery while a load beside it runs by turns.
func fridge(t float64) float64 {
	if math.Mod(t, 1800) < 900 {
		return 0.30
	}
	return 0.55
}

var nimh2 = analyze.Options{Chemistry: analyze.NiMH, Cells: 6, Capacity: 2 * anHour}

// toppedOff is a nickel pack of 2 Ah that takes 2 A until a share of that has gone in, without a
// peak of its voltage, and 0.15 A from then on.
func toppedOff(share float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		top := part{3 * anHour, func(t float64) float64 { return 8.25 + 0.3*math.Exp(-t/900) }, always(0.15)}
		return script(10, idle(300, 7.9), ramp(share*anHour, 8.2, 8.9, 2, 2), top)
	}
}

var agm100 = analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 100 * anHour}

// gaveWay is a charger that after so many seconds at its limit gives no more than 0.3 A.
func gaveWay(seconds float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		given := part{6 * anHour, func(t float64) float64 { return 13 + 0.9*math.Exp(-t/600) + 0.02*t/anHour }, always(0.3)}
		return script(10, before, current, fade(seconds, 14.4, 5, anHour), given)
	}
}

// likeFloat is one that gives 0.9 A, at which the battery stands where a float would hold it.
func likeFloat() []analyze.Sample {
	given := part{4 * anHour, func(t float64) float64 { return 13.5 + 0.15*math.Exp(-t/900) + 0.05*t/anHour }, always(0.9)}
	return script(10, before, current, fade(1800, 14.4, 5, anHour), given)
}

// lastSmallCurrent is a charger that, once half of its current has faded, gives a last small one for some
// hours, as DIN 41772 says of the characteristic IUIa: the battery, nearly full, climbs with it to where it gasses.
func lastSmallCurrent(hours float64) []analyze.Sample {
	last := part{hours * anHour, func(t float64) float64 { return 13 + 0.9*math.Exp(-t/600) + 2.2/(1+math.Exp(-(t-4500)/900)) }, always(0.3)}
	return script(10, before, current, fade(2700, 14.4, 5, anHour), last, after)
}

// fading is a charger that in so many seconds gives way to a tenth of its current, and takes
// the voltage down by what the battery drops.
func fading(seconds float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		share := func(t float64) float64 { return max(0.1, 1-0.9*t/seconds) }
		volts := func(t float64) float64 { return 12.5 + 0.3*share(t) + 0.02*t/anHour }
		return script(10, before, ramp(2*anHour, 12.4, 12.8, 5, 5),
			part{4 * anHour, volts, func(t float64) float64 { return 5 * share(t) }})
	}
}

// cooling is a hot charger that in half an hour gives way to a tenth of its current, while the battery, which
// fills, makes up for what its leads drop.
func cooling() []analyze.Sample {
	amps := func(t float64) float64 { return 5 * max(0.1, 1-0.9*t/1800) }
	volts := func(t float64) float64 { return 12.25 + 0.002*math.Sin(t) + 0.003*t/anHour }
	return script(10, idle(600, 12), ramp(anHour, 12.15, 12.25, 5, 5), part{5 * anHour, volts, amps})
}

// A step down to a lower voltage at a good current may be a float or a source that gives way: nothing
// is told to be complete before that shows.
func TestWhatGaveWayIsNeverToldComplete(t *testing.T) {
	for name, rows := range map[string][]analyze.Sample{"like a float": likeFloat(), "before the limit": fading(600)(), "by and by": cooling()} {
		m := analyze.New(agm17)
		for _, s := range rows {
			for _, e := range m.Step(s) {
				assert.NotEqual(t, analyze.Finish, e.Stage, "%s: at %.0f s", name, s.At)
			}
		}
	}
}

// A last small current is the end of a charge, from when it is less than the tail.
func TestALastSmallCurrentIsTheEnd(t *testing.T) {
	s := run(agm17, lastSmallCurrent(1.2)).Sessions[0]
	assert.Equal(t, analyze.Complete, s.Outcome)
	assert.InDelta(t, 600+3*anHour+2700, float64(s.FinishS), 60)
}

func stalledNights() []must {
	charger := madeup.Named("stalled")
	began := 300.0
	return []must{
		{code: "stalled", name: "it gives way at the held voltage", of: []analyze.Options{{}, agm17}, rows: gaveWay(1800),
			begins: 600 + 3.5*anHour, give: 60, within: 1.2 * anHour, says: []string{"only 0.3 A of 5 A", "held 14.40 to 13.", "heat"}},

		{code: "stalled", name: "it gives way at the held voltage, to a voltage like a float's", of: []analyze.Options{{}, agm17}, rows: likeFloat,
			begins: 600 + 3.5*anHour, give: 60, within: 1.2 * anHour, says: []string{"only 0.9 A of 5 A"}},
		{code: "stalled", name: "a charger that gives way for ten minutes", of: []analyze.Options{{}, agm17}, rows: fading(600),
			begins: began + 2*anHour, give: 900, within: 1.4 * anHour, says: []string{"0.5 A of 5 A"}},

		{code: "stalled", name: "a charger that gives way by and by", of: []analyze.Options{agm17}, rows: cooling,
			begins: 600 + anHour + 1600, give: 60, within: 1.2 * anHour, says: []string{"0.5 A of 5 A", "heat"}},
		{code: "stalled", name: "a warm charger gives a trickle for good", of: []analyze.Options{{}, known(charger)}, rows: collected(charger),
			begins: 2 * anHour, give: 60, within: 1.1 * anHour, ends: 120 + 16*anHour, settles: 10,
			says: []string{"A of 6 A", "protects itself from heat", "feel whether it is hot"}},
		{code: "stalled", name: "it cools down and goes on", of: []analyze.Options{{}, agm17}, rows: trickling(2, always(0.5)),
			begins: began + 1.4*anHour, give: 60, within: 1.1 * anHour, ends: began + 3.4*anHour, settles: 600,
			says: []string{"0.5 A of 5 A", "protects itself from heat"}},
		{code: "stalled", name: "a load beside the battery takes the rest", of: []analyze.Options{{}, agm17}, rows: trickling(2, fridge),
			begins: began + 1.4*anHour, give: 60, within: 1.1 * anHour, ends: began + 3.4*anHour, settles: 600,
			says: []string{"between 0.3 and 0.55 A", "a load beside the battery", "unplug"}},
		{code: "stalled", name: "at its menu", of: []analyze.Options{agm100}, rows: slowly(5, 0.06, func(float64) float64 { return 12.4 }),
			begins: began, give: 60, within: 3.5 * anHour, ends: began + 5*anHour, settles: 40, says: []string{"0.06 A", "69 days", "waits at its menu"}},
		{code: "stalled", name: "full current, and the voltage stands", of: []analyze.Options{agm100}, rows: slowly(16, 5, func(float64) float64 { return 12.3 }),
			begins: began, give: 60, within: 7 * anHour, ends: began + 16*anHour, settles: 40,
			says: []string{"5 A flow", "12.30 V", "a cell is shorted or leaks, it is far larger than was told, or from the first a load", "feel whether it is warm"}},
		{code: "stalled", name: "the same by a meter of tenths that scatters", of: []analyze.Options{agm100}, rows: roughly(24, 5, func(float64) float64 { return 12.3 }),
			begins: began + anHour, give: 5 * anHour, within: 10 * anHour, ends: began + 24*anHour, settles: 40},
		{code: "stalled", name: "a load comes on beside the battery", of: []analyze.Options{agm100}, rows: slowly(16, 5, loaded(4, 16)),
			begins: began + 4*anHour, give: 60, within: 6.5 * anHour, ends: began + 16*anHour, settles: 40,
			says: []string{"it rose until 4 h 0", "a load came on"}},
		{code: "stalled", name: "it rises for hours and then stands", of: []analyze.Options{agm100}, rows: slowly(16, 5, func(h float64) float64 { return 12.2 + 0.04*min(h, 5) }),
			begins: began + 5*anHour, give: 900, within: 6 * anHour, ends: began + 16*anHour, settles: 40, says: []string{"a cell is shorted or leaks"}},
		{code: "stalled", name: "it rises for half an hour and then stands", of: []analyze.Options{agm100}, rows: slowly(16, 5, func(h float64) float64 { return 12 + 0.8*min(h, 0.5) }),
			begins: began + anHour/2 - 150, give: 160, within: 8 * anHour, ends: began + 16*anHour, settles: 40, says: []string{"or from the first a load"}},
		{code: "stalled", name: "it stands, and then rises too little to clear", of: []analyze.Options{agm100}, rows: slowly(16, 5, func(h float64) float64 { return 12.3 + 0.014*max(h-8, 0) }),
			begins: began, give: 60, within: 7 * anHour, ends: began + 16*anHour, settles: 40},
		{code: "stalled", name: "the same, nothing known", rows: slowly(20, 2, func(h float64) float64 { return 12.28 + 0.002*h }),
			begins: began + anHour, give: 1.5 * anHour, within: 9 * anHour, ends: began + 20*anHour, settles: 40, says: []string{"far larger than was told"}},
		{code: "stalled", name: "gassing without end", of: []analyze.Options{agm100}, rows: slowly(16, 5, func(h float64) float64 { return min(12.6+0.6*h, 15.3) }),
			begins: began + 4.5*anHour, give: 1.5 * anHour, within: 6 * anHour, ends: began + 16*anHour, settles: 40,
			says: []string{"15.3", "full and gasses without end", "air the room"}},
		{code: "stalled", name: "a nickel pack that is half full when its charger gives way", of: []analyze.Options{nimh2}, rows: toppedOff(0.5),
			begins: began + 0.5*anHour, give: 60, within: 1.1 * anHour, says: []string{"0.15 A of 2 A"}},
		{code: "stalled", name: "a nickel pack past its peak", of: []analyze.Options{nimh2},
			rows:   slowly(16, 0.2, func(h float64) float64 { return 8.7 - 0.7*math.Exp(-h) }),
			begins: began + 4*anHour, give: 3 * anHour, within: 10 * anHour, ends: began + 16*anHour, settles: 40, says: []string{"its voltage peak was missed"}},
	}
}

func stalledNeighbours() []neighbour {
	warm := madeup.Named("stalled")
	warm.Faults, warm.Plan = madeup.Faults{}, nil
	warm.Charger.ThrottleAfter, warm.Charger.ThrottleTo = 2*anHour, 0.5
	flat := madeup.Named("car-flat")
	flat.Battery.CapacityAh, flat.Battery.StateOfCharge, flat.Charger.Amps, flat.Charger.TailAmps = 120, 0.02, 6, 2
	lfp100 := analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4, Capacity: 100 * anHour}
	small := func(o analyze.Options) []analyze.Options { return []analyze.Options{{}, o} }
	return []neighbour{
		{code: "stalled", name: "a trickle once the current has faded", of: []analyze.Options{{}, agm17}, rows: gaveWay(1.3 * anHour)},
		{code: "stalled", name: "the last small current of a charger for lead-acid", of: []analyze.Options{{}, agm17}, rows: func() []analyze.Sample { return lastSmallCurrent(2) }},
		{code: "stalled", name: "an early float", of: []analyze.Options{{}, agm17}, rows: func() []analyze.Sample {
			float := part{6 * anHour, always(13.6), func(t float64) float64 { return 0.2 + 0.5*math.Exp(-t/anHour) }}
			return script(10, before, current, fade(1800, 14.4, 5, anHour), settle(600, 14.2, 13.6, 200), float)
		}},

		{code: "stalled", name: "a large flat battery at a twentieth", of: small(known(flat)), rows: collected(flat)},
		{code: "stalled", name: "the same, as a straight line", of: small(agm100), rows: unending(slowly(16, 5, func(h float64) float64 { return 12.2 + 0.035*h }))},
		{code: "stalled", name: "the same by a meter of tenths that scatters", of: small(agm100), rows: unending(roughly(18, 5, func(h float64) float64 { return 12.2 + 0.035*h }))},
		{code: "stalled", name: "a load beside the battery for an hour", of: []analyze.Options{agm100}, rows: unending(slowly(16, 5, loaded(4, 5)))},
		{code: "stalled", name: "at a fiftieth", of: small(agm100), rows: unending(slowly(24, 2, func(h float64) float64 { return 12.2 + 0.014*h }))},
		{code: "stalled", name: "the plateau of iron phosphate", of: small(lfp100), rows: unending(slowly(16, 5, func(h float64) float64 { return 13.2 + 0.009*h }))},
		{code: "stalled", name: "a nickel pack, full after eight of the usual fifteen hours", of: []analyze.Options{nimh2},
			rows: slowly(15, 0.2, func(h float64) float64 { return 8.3 + 0.1*min(h, 1) + 0.3/(1+math.Exp(-4*(h-7))) })},
		{code: "stalled", name: "the same with a plain charger that gives a fifth more", of: []analyze.Options{nimh2},
			rows: slowly(16, 0.23, func(h float64) float64 { return 8.3 + 0.1*min(h, 1) + 0.3/(1+math.Exp(-4*(h-7))) })},
		{code: "stalled", name: "a nickel pack that its charger found full by its warmth, and tops off", of: []analyze.Options{nimh2}, rows: toppedOff(0.95)},
		{code: "stalled", name: "float", of: []analyze.Options{agm100}, rows: unending(slowly(14, 0.06, func(float64) float64 { return 13.6 }))},
		{code: "stalled", name: "a hot charger at half its current goes on", of: small(known(warm)), rows: collected(warm)},
		{code: "stalled", name: "a trickle for less than an hour", of: small(agm17), rows: trickling(0.95, always(0.5))},
		{code: "stalled", name: "a quarter of the current", of: small(agm17), rows: trickling(2, always(1.25))},
	}
}

// A charger that goes on with half of its current is no stall: the stage says what became of it. One
// that gives less as the voltage rises does not give way, nor one that trickles once the battery is full.
func TestAStageSaysThatItsChargerGaveWay(t *testing.T) {
	warm := func(amps, sinks float64) []analyze.Sample {
		return script(20, before, ramp(2*anHour, 12.4, 12.8, 5, 5), ramp(600, 12.8, 12.8-sinks, 5, amps), ramp(5*anHour, 12.8-sinks, 14.4, amps, amps), fade(3*anHour, 14.4, amps, anHour), after)
	}
	whyOf := func(o analyze.Options, rows []analyze.Sample) string {
		return stageOf(&run(o, rows).Sessions[0], analyze.ConstantCurrent).Why
	}
	assert.Contains(t, whyOf(agm17, warm(2.5, 0.1)), "from 2 h 12 min it fell to about 2.5 A, and the voltage with it: the charger gave way to heat")
	assert.NotContains(t, whyOf(agm17, warm(2.5, -0.1)), "gave way", "as a plain transformer does")
	assert.NotContains(t, whyOf(agm17, warm(4.2, 0.1)), "gave way", "nearly all the current")
	assert.NotContains(t, whyOf(agm17, seventeen()), "gave way")
	weak := func(parts ...part) []analyze.Sample {
		return script(20, append(append([]part{before, ramp(2*anHour, 12.4, 12.8, 5, 5)}, parts...), fade(3*anHour, 14.4, 4, anHour), after)...)
	}
	assert.NotContains(t, whyOf(agm17, weak(ramp(2400, 12.6, 14.4, 2.5, 2.5))), "gave way", "for no hour")
	assert.NotContains(t, whyOf(agm17, weak(steady(1200, 12.6, 2.5), ramp(3*anHour, 12.7, 14.4, 4, 4))), "gave way", "and back within the hour")
	peaked := script(10, idle(300, 7.8), ramp(2*anHour, 8.2, 9.1, 1, 1), ramp(900, 9.1, 9.02, 1, 1), ramp(3*anHour, 8.7, 8.6, 0.12, 0.10), settle(1800, 8.4, 8.3, 600))
	assert.NotContains(t, whyOf(nimh2, peaked), "gave way", "after the peak, which ended the stage")
}

// unending leaves out the rest: the charge goes on as the log ends.
func unending(rows func() []analyze.Sample) func() []analyze.Sample {
	return func() []analyze.Sample {
		all := rows()
		k := len(all)
		for all[k-1].Amps == 0 {
			k--
		}
		return all[:k]
	}
}

// A full battery that gasses below the charger's limit is told of once: no cell is missing.
func TestGassingIsNoMissingCell(t *testing.T) {
	rows := script(30, before, ramp(10*anHour, 12.6, 14.6, 1.2, 1.2),
		part{12 * anHour, func(t float64) float64 { return 14.6 + 0.002*math.Sin(t*1.7/30) }, always(1.2)})
	assert.Equal(t, []string{analyze.CodeStalled, analyze.CodeOverCapacity}, warnings(run(agm17, rows)))
}
