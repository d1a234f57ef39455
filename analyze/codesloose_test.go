package analyze_test

import (
	"math"

	"amphora/analyze"
)

// A lead that is off, or not on yet, beyond the plain cases among the hazards.

// hanging are the leads without a battery, for ten minutes.
func hanging(volts func(t float64) float64) part { return part{600, volts, always(0)} }

// flickering is the usual charge; from its second hour on the charger is alone for some rows, so
// many times, so many seconds from one to the next, and the leads show so many volts then.
func flickering(every float64, rows, times int, volts float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		all := seventeen()
		for n := range times {
			first := int((600 + anHour + float64(n)*every) / 10)
			for k := range all[first : first+rows] {
				all[first+k].Volts, all[first+k].Amps = volts, 0
			}
		}
		return all
	}
}

// nobody is a charger that tries its open clamps for some seconds, at so many volts, and the leads for so long after it.
func nobody(volts, seconds float64) []part {
	trying := part{9, always(volts), always(0.03)}
	return []part{{60, always(0.02), always(0)}, trying, {seconds, func(t float64) float64 { return 0.3 + 0.2*math.Exp(-t/30) }, always(0)}}
}

func looseNights() []must {
	labelled := []analyze.Options{agm17}
	both := []analyze.Options{{}, agm17}
	return []must{
		{code: "open-circuit", name: "a charger for one cell with nothing on it", rows: func() []analyze.Sample {
			jumping := hanging(func(t float64) float64 { return 1 + 0.5*math.Sin(t) })
			return script(10, jumping, ramp(3*anHour, 1.25, 1.45, 0.5, 0.5), idle(anHour, 1.4))
		}, begins: 0, give: 30, within: 200, ends: 600, settles: 20, says: []string{"up and down"}},
		{code: "open-circuit", name: "a clamp that loses its contact for a row now and then", of: both, rows: flickering(170, 1, 25, 16.5),
			begins: 600 + anHour, within: 400, ends: 600 + anHour + 24*170, settles: 1, says: []string{"3 times", "leapt to 16.5", "above 13.26 V", "may spark"}},
		{code: "open-circuit", name: "for two rows, into the taper", of: both, rows: flickering(400, 2, 30, 15.5),
			begins: 600 + anHour, within: 900, ends: 600 + anHour + 29*400, settles: 1, says: []string{"3 times", "a lead is loose"}},
		{code: "open-circuit", name: "a charger at its voltage, and clamps that do not touch", of: labelled, rows: func() []analyze.Sample {
			return script(10, idle(60, 0.01), idle(3*anHour, 14.4), current, voltage, after)
		}, begins: 60, give: 20, within: 620, ends: 60 + 3*anHour, settles: 20, says: []string{"14.40 V", "10 min", "do not touch"}},
		{code: "open-circuit", name: "a charger that is on alone, whose voltage drifts about", of: both, rows: func() []analyze.Sample {
			drifts := part{2 * anHour, func(t float64) float64 { return 14 + 1.2*math.Sin(t/60) }, always(0)}
			return script(10, idle(60, 0.01), drifts)
		}, begins: 60, give: 200, within: 1600, says: []string{"up and down", "nothing hangs on it"}},
		{code: "open-circuit", name: "a charger at its voltage, and clamps that do not touch, the day after", of: labelled, rows: func() []analyze.Sample {
			return script(10, before, current, voltage, after, idle(2*anHour, 0.01), idle(anHour, 14.4))
		}, begins: 600 + 11*anHour, give: 20, within: 640, says: []string{"14.40 V", "do not touch"}},
		{code: "open-circuit", name: "a charger that looks for a battery every half minute", of: both, rows: func() []analyze.Sample {
			looks := part{2 * anHour, func(t float64) float64 {
				if math.Mod(t, 30) < 5 {
					return 15.2
				}
				return 0.3
			}, always(0)}
			return script(5, idle(60, 0.01), looks)
		}, begins: 60, give: 60, within: 900, says: []string{"up and down"}},
		{code: "open-circuit", name: "a charger that tries, and nobody there for hours", of: both, rows: func() []analyze.Sample {
			return script(3, append(nobody(14.6, 3*anHour), idle(anHour, 12.5))...)
		}, begins: 69, give: 6, within: anHour + 60, ends: 69 + 3*anHour, settles: 66, says: []string{"14.60 V", "3.65 V", "no battery"}},
	}
}

func looseNeighbours() []neighbour {
	iron := []analyze.Options{{Chemistry: analyze.LiFePO4, Cells: 4, Capacity: 17 * anHour}}
	both := []analyze.Options{{}, agm17}
	return []neighbour{
		{code: "open-circuit", name: "a spoilt line now and then", of: both, rows: flickering(700, 1, 10, 16.5)},
		{code: "open-circuit", name: "a charger that looks at the battery for a moment", of: both, rows: flickering(170, 1, 10, 13.1)},
		{code: "open-circuit", name: "leads in the air pick up hum before the clamps are on", of: both, rows: func() []analyze.Sample {
			hum := hanging(func(t float64) float64 { return 0.3 + 0.3*math.Sin(t) })
			return script(10, hum, idle(60, 12.5), current, voltage, after)
		}},
		{code: "open-circuit", name: "the charger's voltage is set with open clamps, half an hour before", of: both, rows: func() []analyze.Sample {
			return script(3, append(nobody(14.4, anHour/2), current, voltage, after)...)
		}},
		{code: "open-circuit", name: "a charger's voltage stands for nine minutes until the clamps are on", of: both, rows: func() []analyze.Sample {
			return script(10, idle(60, 0.01), idle(9*60, 14.4), current, voltage, after)
		}},
		{code: "open-circuit", name: "a full battery on float takes less than the meter shows", of: both, rows: func() []analyze.Sample {
			return script(10, idle(5*anHour, 13.7))
		}},
		{code: "open-circuit", name: "a lithium battery rests above its plateau", of: iron, rows: func() []analyze.Sample {
			return script(10, idle(5*anHour, 13.6))
		}},
		{code: "open-circuit", name: "a full battery is taken off, and the charger left on", of: both, rows: func() []analyze.Sample {
			return script(10, before, current, voltage, after, idle(3*anHour, 14.4))
		}},
		{code: "open-circuit", name: "battery after battery is looked at", of: both, rows: func() []analyze.Sample {
			var parts []part
			for _, volts := range []float64{12.4, 18.6, 3.7, 12.7, 8.1, 12.5} {
				parts = append(parts, idle(120, volts), idle(60, 0.01))
			}
			return script(5, append(parts, current, voltage, after)...)
		}},
		{code: "open-circuit", name: "a refrigerator beside it that the meter does not see", of: both, rows: func() []analyze.Sample {
			runs := part{5 * anHour, func(t float64) float64 { return 12.6 - 0.3*math.Round(0.5+0.5*math.Sin(t/300)) }, always(0)}
			return script(10, runs)
		}},
		{code: "open-circuit", name: "a battery is looked at for some seconds, hours before its charge", of: both, rows: func() []analyze.Sample {
			return script(3, idle(9, 12.4), part{3 * anHour, always(0.01), always(0)}, current, voltage, after)
		}},
		{code: "open-circuit", name: "leads in the air show the last digit", of: both, rows: func() []analyze.Sample {
			digit := hanging(func(t float64) float64 { return 0.01 * math.Round(math.Sin(t)) })
			return script(10, digit, current, voltage, after)
		}},
	}
}
