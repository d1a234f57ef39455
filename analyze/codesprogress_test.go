package analyze_test

import (
	"math"
	"math/rand/v2"
	"slices"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// A charge that takes too long, or too much, or does not fill.

// seventeenIn is the usual charge with so many hours of constant current.
func seventeenIn(hours float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		return script(10, before, ramp(hours*anHour, 12.60, 14.40, 5, 5), voltage, after)
	}
}

// tookMore is a battery labelled 17 Ah that took 22 Ah on so many nights.
func tookMore(nights int) analyze.Options {
	o := agm17
	o.Earlier = slices.Repeat([]analyze.Earlier{{ChargeIn: 22 * anHour, Seconds: 6 * anHour, Constant: 3.6 * anHour, ConstantIn: 18 * anHour, SetAmps: 5}}, nights)
	return o
}

// levelled is a charge whose current at the held voltage comes to stand at some amps.
func levelled(volts, amps float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		level := part{8 * anHour, always(volts), func(t float64) float64 { return amps + (5-amps)*math.Exp(-t/(anHour/2)) }}
		return script(10, idle(600, volts-1.9), ramp(3*anHour, volts-1.8, volts, 5, 5), level, settle(anHour, volts-0.8, volts-1.5, 1800))
	}
}

// lengthy is 3 h at 4.5 A and a taper of so many hours towards some amps.
func lengthy(hours, amps float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		taper := part{hours * anHour, always(14.4), func(t float64) float64 { return amps + 3.6*math.Exp(-t/(4*anHour)) }}
		return script(20, idle(600, 12.5), ramp(3*anHour, 12.6, 14.4, 4.5, 4.5), taper, settle(anHour, 13.6, 12.9, 1800))
	}
}

// peaked is a pack of eight nickel cells, half full, on 0.2 A for so many hours: its voltage
// peaks after five, sinks by 15 mV a cell and stands.
func peaked(hours float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		return script(30, idle(600, 10.4), ramp(3*anHour, 10.9, 11.3, 0.2, 0.2), ramp(2*anHour, 11.3, 11.9, 0.2, 0.2),
			ramp(2*anHour, 11.9, 11.78, 0.2, 0.2), steady((hours-7)*anHour, 11.78, 0.2))
	}
}

// topped is the charge of a battery that was nearly full: the limit comes after five
// minutes, and then the current fades.
func topped(rest, tau float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		return script(10, idle(600, rest), ramp(300, rest+0.5, 14.4, 5, 5), fade(anHour, 14.4, 5, tau), settle(anHour, 13.6, 12.9, 1800))
	}
}

func progressNights() []must {
	shorted, beside, sulphated, full := madeup.Named("shorted-cell"), madeup.Named("load-beside"), madeup.Named("sulphated"), madeup.Named("mower-full")
	with := func(l analyze.Limits) []analyze.Options {
		o := agm17
		o.Limits = l
		return []analyze.Options{{Limits: l}, o}
	}
	// When the fade from 5 A has brought so many Ah, s after it began: Ah = 5 - i.
	brought := func(ah float64) float64 { return anHour * math.Log(5/(5-ah)) }
	held := 600 + 3*anHour
	return []must{
		{code: "voltage-not-reached", name: "a shorted cell", of: []analyze.Options{known(shorted)}, rows: collected(shorted),
			begins: 120 + 12*anHour, give: 120, within: 300, says: []string{"72.", "Ah have gone in", "shorted cell", "Compare the cells"}},
		{code: "voltage-not-reached", name: "it comes after all", of: []analyze.Options{agm17}, rows: seventeenIn(5),
			begins: 600 + 20.4/5*anHour, give: 120, within: 300, ends: 600 + 4.2*anHour, settles: 300, says: []string{"20.", "rated capacity"}},

		{code: "no-taper", name: "the fridge hangs beside the battery", of: []analyze.Options{{}, known(beside)}, rows: collected(beside),
			begins: 12 * anHour, give: 3 * anHour, within: 5 * anHour, ends: 120 + 20*anHour, settles: 10, says: []string{"14.40 V", "a load hangs"}},
		{code: "no-taper", name: "gassing without end", of: []analyze.Options{agm17}, rows: levelled(14.4, 0.45),
			begins: held + 2.65*anHour, give: anHour / 2, within: 2.5 * anHour, ends: held + 8*anHour, settles: 40,
			says: []string{"14.40 V", "0.45", "0.34 A", "full and gasses without end", "look at the acid"}},
		{code: "no-taper", name: "a load", of: []analyze.Options{agm17}, rows: levelled(14.4, 1.2),
			begins: held + 2.1*anHour, give: anHour / 2, within: 2.5 * anHour, ends: held + 8*anHour, settles: 40,
			says: []string{"1.2", "a load hangs", "Unplug other consumers"}},
		{code: "no-taper", name: "lithium", of: []analyze.Options{lfp}, rows: levelled(14.4, 1.1),
			begins: held + 2*anHour, give: anHour / 2, within: 1.5 * anHour, ends: held + 8*anHour, settles: 10, says: []string{"0.85 A", "a cell leaks"}},

		// 1.35 x 17 Ah = 22.95 Ah: 18.5 Ah in 3.7 h, the rest in the fade.
		{code: "over-capacity", name: "more than it can have needed", of: []analyze.Options{agm17}, rows: seventeenIn(3.7),
			begins: 600 + 3.7*anHour + brought(22.95-18.5), give: 120, within: 300, says: []string{"23 Ah", "1.35 times the rated 17 Ah", "Feel whether it is warm"}},
		{code: "over-capacity", name: "as set", of: with(analyze.Limits{Charge: 18 * anHour}), rows: seventeen,
			begins: held + brought(3), give: 120, within: 300, says: []string{"18 Ah", "as set"}},
		{code: "over-capacity", name: "a multiple of the capacity, as set", of: with(analyze.Limits{ChargeFactor: 1.1})[1:], rows: seventeen,
			begins: held + brought(3.7), give: 120, within: 300, says: []string{"18.7 Ah", "1.1 times the capacity, as set"}},
		{code: "over-capacity", name: "by earlier nights", of: []analyze.Options{{Earlier: []analyze.Earlier{{ChargeIn: 12 * anHour, Seconds: 5 * anHour, SetAmps: 5}}}},
			rows: seventeen, begins: held + brought(3), give: 120, within: 300, says: []string{"18", "12 Ah that was the most on earlier nights"}},
		// 1.2 x 22 Ah = 26.4 Ah: 23.5 Ah in 4.7 h, the rest in the fade.
		{code: "over-capacity", name: "more than a label of too little and earlier nights explain", of: []analyze.Options{tookMore(3)}, rows: seventeenIn(4.7),
			begins: 600 + 4.7*anHour + brought(26.4-23.5), give: 120, within: 300, says: []string{"26.4 Ah", "1.2 times the usual 22 Ah of its earlier nights"}},
		{code: "over-capacity", name: "two nights alike tell nothing yet", of: []analyze.Options{tookMore(2)}, rows: seventeenIn(4.1),
			begins: 600 + 4.1*anHour + brought(22.95-20.5), give: 120, within: 300, says: []string{"1.35 times the rated 17 Ah"}},
		// 1.45 x 2 Ah = 2.9 Ah at 1 A.
		{code: "over-capacity", name: "a nickel pack whose peak does not come", of: []analyze.Options{nimh2},
			rows: func() []analyze.Sample {
				return script(5, idle(300, 7.8), part{4 * anHour, func(t float64) float64 { return 8.9 - 0.6*math.Exp(-t/3000) }, always(1)}, settle(1800, 8.6, 8.3, 600))
			},
			begins: 300 + 2.9*anHour, give: 120, within: 300, says: []string{"2.9", "1.45 times the rated 2 Ah", "its voltage peak was missed or did not come", "Feel whether it is warm"}},
		{code: "over-capacity", name: "a nickel pack that is charged on after its peak", of: []analyze.Options{nimh2},
			rows: func() []analyze.Sample {
				return script(5, idle(300, 7.8), ramp(2.2*anHour, 8.2, 9.1, 1, 1), ramp(1.8*anHour, 9.1, 8.9, 1, 1), settle(1800, 8.6, 8.3, 600))
			},
			begins: 300 + 2.9*anHour, give: 120, within: 300, says: []string{"2.9", "its voltage peak was missed"}},

		// 40 Ah, 1.35 times at the most, at 4.5 A: 12 h, and 12 h of taper.
		{code: "running-long", name: "past what capacity, current and taper explain", of: []analyze.Options{{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}},
			rows: lengthy(24, 0.9), begins: 600 + 24*anHour, give: 300, within: 600, ends: 600 + 27*anHour, settles: 120,
			says: []string{"24 h 0", "1.35 times the rated 40 Ah", "taper of 12 h 00 min", "feel whether it is warm"}},
		{code: "running-long", name: "a load beside the battery, of which the missing taper was told before", of: []analyze.Options{{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}},
			rows: func() []analyze.Sample {
				return script(60, idle(600, 12.2), ramp(8*anHour, 12.8, 14.4, 4.5, 4.5), fade(1.5*anHour, 14.4, 4.5, 1.85*anHour), steady(20*anHour, 14.4, 2), settle(anHour, 13.6, 12.9, 1800))
			},
			begins: 600 + 24*anHour, give: 300, within: 600, ends: 600 + 29.5*anHour, settles: 120, says: []string{"24 h 0", "taper of 12 h 00 min"}},
		// 1.35 x 40 Ah at half of the 8 A it began with: 13.5 h, and 12 h of taper.
		{code: "running-long", name: "a charger that gave little for nearly all of the time", of: []analyze.Options{{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}},
			rows: func() []analyze.Sample {
				return script(60, idle(600, 12.2), ramp(anHour, 12.4, 12.6, 8, 8), ramp(29*anHour, 12.3, 13.0, 0.8, 0.8), settle(anHour, 12.9, 12.7, 1800))
			},
			begins: 600 + 25.5*anHour, give: 300, within: 600, ends: 600 + 30*anHour, settles: 120, says: []string{"25 h 3", "taper of 12 h 00 min"}},
		{code: "running-long", name: "nickel for a day at a tenth of its capacity", of: []analyze.Options{nimh2},
			rows: func() []analyze.Sample {
				return script(10, idle(300, 7.8), ramp(14*anHour, 8.2, 8.9, 0.2, 0.2), ramp(10*anHour, 8.9, 8.6, 0.2, 0.2), steady(2*anHour, 8.6, 0.2), settle(1800, 8.6, 8.3, 600))
			},
			begins: 300 + 18*anHour, give: 1.5 * anHour, within: 2 * anHour, says: []string{"after the voltage peaked at 8.9", "full"}},
		{code: "running-long", name: "hours past a voltage peak, nothing known", of: []analyze.Options{{}}, rows: peaked(21),
			begins: 600 + 17.6*anHour, give: 120, within: 900, says: []string{"after the voltage peaked at 11.9", "full"}},
		{code: "running-long", name: "past the limit that was set", of: with(analyze.Limits{Seconds: 4 * anHour}), rows: seventeen,
			begins: 600 + 4*anHour, give: 10, within: 120, ends: 600 + 5.69*anHour, settles: 0.5 * anHour, says: []string{"4 h 0", "limit of 4 h 00 min as set"}},

		{code: "accepts-little", name: "a sulphated battery", severity: analyze.Warning, of: []analyze.Options{known(sulphated)}, rows: collected(sulphated),
			begins: 120, give: 30, within: 8 * anHour, says: []string{"Ah went in", "empty", "sulphated", "look at the acid"}},
		{code: "accepts-little", name: "empty by its voltage, and the current falls at once", severity: analyze.Warning, of: []analyze.Options{agm17}, rows: topped(11.4, 60),
			begins: 600, give: 10, within: 1800, says: []string{"14.40 V", "11.40 V", "Let it rest a day"}},
		// 5 min x 5 A and 5 A x 1200 s: 2 Ah, nothing beside the half that was missing, though more than a quarter of an hour.
		{code: "accepts-little", name: "empty by its voltage, no capacity known", severity: analyze.Warning, of: []analyze.Options{{}, {Chemistry: analyze.LeadAGM, Cells: 6}}, rows: topped(11.4, 1150),
			begins: 600, give: 10, within: 1.2 * anHour, says: []string{"14.40 V", "11.40 V", "sulphated"}},
		{code: "accepts-little", name: "empty by its voltage, at the limit at once, and a trickle for hours", severity: analyze.Warning, of: []analyze.Options{agm17}, rows: func() []analyze.Sample {
			trickle := part{5 * anHour, always(14.4), func(t float64) float64 { return 0.6 + 1.1*math.Exp(-t/300) }}
			return script(10, idle(600, 11.4), ramp(60, 12.9, 14.4, 1.7, 1.7), trickle, settle(anHour, 13.2, 12.2, 900))
		}, begins: 600, give: 10, within: anHour + 240, says: []string{"14.40 V", "1 min", "sulphated"}},
		{code: "accepts-little", name: "a full battery", of: []analyze.Options{{}, known(full)}, rows: collected(full),
			begins: 120, give: 60, within: 2.5 * anHour, says: []string{"Ah went in", "full already"}},
		// 5 min x 5 A and 4.66 A x 270 s: 0.77 Ah, less than a twentieth.
		{code: "accepts-little", name: "a little less than a twentieth", of: []analyze.Options{agm17}, rows: topped(12.85, 270),
			begins: 600, give: 10, within: 1500, says: []string{"0.7", "12.85 V before the charge agree"}},
	}
}

func progressNeighbours() []neighbour {
	carFlat, full, healthy := madeup.Named("car-flat"), madeup.Named("mower-full"), madeup.Named("load-beside")
	healthy.Faults.LoadAmps, healthy.Plan = 0, nil
	pack := madeup.Named("lantern-peak")
	lead := []analyze.Options{{}, agm17}
	limited := func(l analyze.Limits) []analyze.Options {
		o := agm17
		o.Limits = l
		return []analyze.Options{o}
	}
	return []neighbour{
		{code: "voltage-not-reached", name: "from empty, slow, and all right", of: []analyze.Options{{}, known(carFlat)}, rows: collected(carFlat)},
		{code: "voltage-not-reached", name: "a little better than its label", of: lead, rows: seventeenIn(3.55)},
		{code: "voltage-not-reached", name: "nickel has no limit to reach", of: []analyze.Options{{}, known(pack)}, rows: collected(pack)},

		{code: "no-taper", name: "the caravan without its fridge", of: []analyze.Options{{}, known(healthy)}, rows: collected(healthy)},
		{code: "no-taper", name: "it levels off hardly above the tail", of: []analyze.Options{agm17}, rows: levelled(14.4, 0.40)},
		{code: "no-taper", name: "the slowest of honest tapers, a power law", of: []analyze.Options{{}, {Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 25 * anHour}}, rows: func() []analyze.Sample {
			return script(10, before, current, part{10 * anHour, always(14.4), func(t float64) float64 { return 5 / math.Sqrt(1+t/1200) }})
		}},

		{code: "no-taper", name: "a weak supply sags beside a battery that fills, by a meter of tenths", of: []analyze.Options{agm17}, rows: sagging},
		{code: "no-taper", name: "a load beside a taper, for an hour", of: lead, rows: func() []analyze.Sample {
			lit := part{anHour, always(14.4), func(t float64) float64 { return 2 + 5*math.Exp(-2.5-t/anHour) }}
			return script(10, before, current, fade(2.5*anHour, 14.4, 5, anHour), lit, fade(anHour, 14.4, 5*math.Exp(-3.5), anHour), after)
		}},

		{code: "over-capacity", name: "just within", of: lead, rows: seventeenIn(3.6)},
		{code: "over-capacity", name: "just within what was set", of: slices.Concat(limited(analyze.Limits{Charge: 20 * anHour}), limited(analyze.Limits{ChargeFactor: 1.2})), rows: seventeen},
		{code: "over-capacity", name: "just within by earlier nights", of: []analyze.Options{{Earlier: []analyze.Earlier{{ChargeIn: 14 * anHour, Seconds: 5 * anHour, SetAmps: 5}}}}, rows: seventeen},
		{code: "over-capacity", name: "as much as every night, though the label says less", of: []analyze.Options{tookMore(3)}, rows: seventeenIn(4.1)},
		{code: "over-capacity", name: "a nickel pack for sixteen hours at a fifth more than a tenth", of: []analyze.Options{nimh2},
			rows: slowly(16, 0.23, func(h float64) float64 { return 8.3 + 0.1*min(h, 1) + 0.3/(1+math.Exp(-4*(h-7))) })},
		{code: "over-capacity", name: "a nickel pack with its peak", of: []analyze.Options{known(pack)}, rows: collected(pack)},

		{code: "running-long", name: "done just before the limit that was set", of: limited(analyze.Limits{Seconds: 5.8 * anHour}), rows: seventeen},
		{code: "running-long", name: "a long taper that ends", of: []analyze.Options{{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}}, rows: lengthy(24, 0.76)},
		{code: "running-long", name: "an unregulated source, a quarter of its current at the end", of: []analyze.Options{{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}}, rows: func() []analyze.Sample {
			return script(60, idle(600, 12.2), ramp(8*anHour, 12.4, 14.4, 4, 2), ramp(8*anHour, 14.4, 15.6, 2, 1), settle(anHour, 13.6, 12.9, 1800))
		}},
		{code: "running-long", name: "nickel by a timer of 14 hours", of: []analyze.Options{{}}, rows: peaked(14)},
		{code: "running-long", name: "nothing to go by", rows: lengthy(24, 0.9)},

		{code: "accepts-little", name: "full, and not sulphated", of: []analyze.Options{{}, known(full)}, rows: collected(full), note: true},
		{code: "accepts-little", name: "a little more than a twentieth", of: []analyze.Options{agm17}, rows: topped(12.85, 450)},
		{code: "accepts-little", name: "empty by its voltage, and a source so strong that the limit comes soon", of: []analyze.Options{agm17}, rows: func() []analyze.Sample {
			return script(10, idle(600, 11.6), ramp(120, 12.9, 14.4, 8, 8), fade(12*anHour, 14.4, 8, 1.6*anHour), after)
		}},
		{code: "accepts-little", name: "a short charge that is right for what was missing", of: []analyze.Options{agm17}, rows: topped(12.7, 1200)},
	}
}

// sagging is a source that gives 2 A at first and 1.5 A as the voltage climbs, which it hardly does for hours.
func sagging() []analyze.Sample {
	rows := script(10, before, ramp(anHour, 12.4, 12.85, 2.1, 2), part{7 * anHour, func(t float64) float64 { return 12.85 + 0.1*(1-math.Exp(-t/(2*anHour))) + 0.02*t/anHour },
		func(t float64) float64 { return 2 - 0.5*(1-math.Exp(-t/(2*anHour))) }})
	r := rand.New(rand.NewPCG(7, 9))
	for k := range rows {
		rows[k].Volts = rounded(rows[k].Volts+0.1*r.NormFloat64(), 0.1)
		if rows[k].Amps > 0 {
			rows[k].Amps = rounded(rows[k].Amps+0.1*r.NormFloat64(), 0.1)
		}
	}
	return rows
}
