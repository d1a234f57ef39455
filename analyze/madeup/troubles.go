package madeup

import "time"

// All lists the nights and the troubles.
func All() []Night { return append(Nights(), Troubles()...) }

// Named is one of all by its name. It panics where there is none: whoever asks has the
// name in his own text.
func Named(name string) Night {
	for _, n := range All() {
		if n.Name == name {
			return n
		}
	}
	panic("no made-up night is called " + name)
}

// Troubles lists nights on which something went wrong, one trouble each.
func Troubles() []Night {
	nights := []Night{
		{
			Name:    "shorted-cell",
			Story:   "One of the car battery's six cells only conducts: the voltage limit never comes.",
			Battery: car(0.2), Charger: Charger{Amps: 6, Volts: 14.4, TailAmps: 0.6},
			Faults: Faults{ShortedCells: 1},
			Plan:   []Phase{Sleep(120), ChargeFor(18 * hour), Sleep(hour)},
		},
		{
			Name:    "sulphated",
			Story:   "The mower's battery stood flat all winter: the limit comes at once, at a fraction of the current.",
			Battery: mower(0.05), Charger: Charger{Amps: 2, Volts: 14.4, TailAmps: 0.3},
			Faults: Faults{Sulphated: 60},
		},
		{
			Name:    "reversed-leads",
			Story:   "Red on black: the charger refuses, and the meter shows a negative voltage.",
			Battery: car(0.5), Charger: Charger{Amps: 6, Volts: 14.4, TailAmps: 0.6},
			Faults: Faults{ReversedLeads: true},
			Plan:   []Phase{Sleep(120), ChargeFor(1800)},
		},
		{
			Name:    "open-lead",
			Story:   "A clip slips off in the middle of the night, and the charger's voltage wanders.",
			Battery: torch(0.2), Charger: Charger{Amps: 1.3, Volts: 4.2, TailAmps: 0.05},
			Faults: Faults{OpenLeadAt: 3000},
			Plan:   []Phase{Sleep(120), ChargeFor(2 * hour)},
		},
		{
			Name:    "runaway",
			Story:   "At the held voltage the mower's battery begins to heat itself, and the current turns and climbs.",
			Battery: mower(0.4), Charger: Charger{Amps: 4, Volts: 14.7},
			Faults: Faults{RunawayAt: 4 * hour, RunawayEvery: 900},
			Plan:   []Phase{Sleep(120), ChargeFor(6.2 * hour), Sleep(hour)},
		},
		{
			Name:    "stalled",
			Story:   "After two hours the warm charger gives a trickle that only makes gas, and goes on so all day.",
			Battery: car(0.5), Charger: Charger{Amps: 6, Volts: 14.4, TailAmps: 0.6},
			Faults: Faults{StalledAt: 2 * hour, StalledAmps: 0.1},
			Plan:   []Phase{Sleep(120), ChargeFor(16 * hour), Sleep(hour)},
		},
		{
			Name:    "load-beside",
			Story:   "The caravan's fridge hangs on the charger, too: the current levels off far above the tail.",
			Battery: caravan(0.4), Charger: Charger{Amps: 10, Volts: 14.4, TailAmps: 1},
			Faults: Faults{LoadAmps: 3},
			Plan:   []Phase{Sleep(120), ChargeFor(20 * hour), Sleep(hour)},
		},
		{
			Name: "clock-steps", Good: true,
			Story:   "The recorder's clock is set back an hour, and later forward by a minute.",
			Battery: drill(0.2), Charger: Charger{Amps: 2, Volts: 12.6, TailAmps: 0.1},
			Faults: Faults{ClockSteps: []Step{{2000, -hour}, {5000, 60}}},
		},
		{
			Name: "recorder-silent", Good: true,
			Story:   "Somebody pulled the recorder's plug for a quarter of an hour; the charge went on without it.",
			Battery: mower(0.3), Charger: Charger{Amps: 2, Volts: 14.4, TailAmps: 0.19},
			Meter: Meter{Silent: []Span{{7000, 7900}}},
		},
	}
	for i := range nights {
		silent := nights[i].Meter.Silent
		nights[i].Meter = benchMeter(5)
		nights[i].Meter.Silent = silent
		nights[i].Meter.Celsius = true
		nights[i].Seed = uint64(100 + i)
		nights[i].Began = time.Date(2026, 10, 24, 20, 0, 0, 0, time.UTC).AddDate(0, 0, i)
		nights[i].Layout = Commas
	}
	return nights
}
