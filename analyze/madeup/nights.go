package madeup

import (
	"time"

	"amphora/analyze"
)

const hour = 3600

// The household's batteries, each as it comes from its label.

func car(charge float64) Battery {
	return Battery{Chemistry: analyze.LeadFlooded, Cells: 6, CapacityAh: 60, StateOfCharge: charge, Celsius: 18}
}

func mower(charge float64) Battery {
	return Battery{Chemistry: analyze.LeadAGM, Cells: 6, CapacityAh: 18, StateOfCharge: charge, Celsius: 16}
}

func caravan(charge float64) Battery {
	return Battery{Chemistry: analyze.LeadGel, Cells: 6, CapacityAh: 80, StateOfCharge: charge, Celsius: 14}
}

func outboard(charge float64) Battery {
	return Battery{Chemistry: analyze.LiFePO4, Cells: 4, CapacityAh: 50, StateOfCharge: charge, Celsius: 20}
}

func drill(charge float64) Battery {
	return Battery{Chemistry: analyze.LiIon, Cells: 3, CapacityAh: 4, StateOfCharge: charge, Celsius: 21}
}

func torch(charge float64) Battery {
	return Battery{Chemistry: analyze.LiIon, Cells: 1, CapacityAh: 2.6, StateOfCharge: charge, Celsius: 22}
}

func lantern(charge float64) Battery {
	return Battery{Chemistry: analyze.NiMH, Cells: 6, CapacityAh: 2, StateOfCharge: charge, Celsius: 21}
}

// benchMeter is a decent meter; the nights change what they are about.
func benchMeter(every float64) Meter {
	return Meter{Every: every, NoiseVolts: 0.001, NoiseAmps: 0.002, StepVolts: 0.001, StepAmps: 0.001}
}

// Chargers here end below a tenth of their current, or below 2 % of the charge
// that went in, so that a night counts as complete also for a reader who does
// not know the battery's capacity.

// Nights lists the made-up nights of one invented household: a car, a mower, a
// caravan, an outboard, and the packs of a drill, a torch and a lantern.
func Nights() []Night {
	evening := time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
	nights := []Night{
		{
			Name: "car-flat", Good: true, Layout: Commas,
			Story:   "The lights stayed on: the car's flat battery at a tenth of its capacity.",
			Battery: car(0.03), Charger: Charger{Amps: 6, Volts: 14.7, TailAmps: 0.9},
			Meter: benchMeter(20),
		},
		{
			Name: "mower-float", Good: true, Layout: DateTime,
			Story:   "The mower's battery, woken in spring; the charger steps down to float and holds it until noon.",
			Battery: mower(0.2), Charger: Charger{Amps: 2, Volts: 14.5, TailAmps: 0.3, FloatVolts: 13.6, FloatFor: 4 * hour, SoftStart: 120},
			Meter: benchMeter(20),
		},
		{
			Name: "caravan-power-limited", Good: true, Layout: Semicolons,
			Story:   "The caravan's gel battery on a source that gives 90 W and no more, so the current falls as the voltage rises.",
			Battery: caravan(0.25), Charger: Charger{Amps: 10, Watts: 90, Volts: 14.3, TailAmps: 1.2, FloatVolts: 13.6, FloatFor: 2 * hour, Drift: 0.01, DriftPeriod: 7000},
			Meter: benchMeter(30),
		},
		{
			Name: "car-partial", Good: true, Layout: Tabs,
			Story:   "The car drove to town and back; its battery was two thirds full.",
			Battery: car(0.68), Charger: Charger{Amps: 8, Volts: 14.4, TailAmps: 0.75, Overshoot: 0.06, OvershootDecay: 90},
			Meter: benchMeter(10),
		},
		{
			Name: "mower-full", Good: true, Layout: ClockTime,
			Story:   "Somebody charged the mower yesterday already: it accepts next to nothing.",
			Battery: mower(0.97), Charger: Charger{Amps: 2, Volts: 14.4, TailAmps: 0.1, SoftStart: 30},
			Meter: benchMeter(5),
		},
		{
			Name: "drill-three-cells", Good: true, Layout: Commas,
			Story:   "The drill's pack of three lithium-ion cells.",
			Battery: drill(0.08), Charger: Charger{Amps: 2, Volts: 12.6, TailAmps: 0.1, SoftStart: 10},
			Meter: Meter{Every: 5, NoiseVolts: 0.002, NoiseAmps: 0.003, StepVolts: 0.001, StepAmps: 0.001, Celsius: true},
		},
		{
			Name: "torch-one-cell", Good: true, Layout: Thousandths,
			Story:   "The torch's single lithium-ion cell; the meter speaks in millivolts and milliamperes.",
			Battery: torch(0.12), Charger: Charger{Amps: 1.3, Volts: 4.2, TailAmps: 0.05},
			Meter: benchMeter(5),
		},
		{
			Name: "outboard-plateau", Good: true, Layout: JSONLines,
			Story:   "The outboard's four lithium iron phosphate cells: the voltage says nothing for hours, then everything at once.",
			Battery: outboard(0.15), Charger: Charger{Amps: 10, Volts: 14.6, TailAmps: 1},
			Meter: benchMeter(10),
		},
		{
			Name: "lantern-peak", Good: true, Layout: Semicolons,
			Story:   "The lantern's six nickel cells; the charger waits for the voltage to fall from its peak while they grow warm.",
			Battery: lantern(0.05), Charger: Charger{Amps: 1, PeakDrop: 0.045},
			Meter: Meter{Every: 5, NoiseVolts: 0.001, NoiseAmps: 0.001, StepVolts: 0.001, StepAmps: 0.001, Celsius: true},
		},
		{
			Name: "mower-coarse-meter", Good: true, Layout: Labelled,
			Story:   "The panel meter of the old charger shows tenths of a volt and tenths of an ampere.",
			Battery: mower(0.15), Charger: Charger{Amps: 2, Volts: 14.4, TailAmps: 0.19},
			Meter: Meter{Every: 10, NoiseVolts: 0.005, NoiseAmps: 0.01, StepVolts: 0.1, StepAmps: 0.1},
		},
		{
			Name: "caravan-minute-rows", Good: true, Layout: ClockTime,
			Story:   "One row a minute over a long night in the caravan.",
			Battery: caravan(0.1), Charger: Charger{Amps: 8, Volts: 14.4, TailAmps: 0.78, SoftStart: 200},
			Meter: benchMeter(60),
		},
		{
			Name: "car-noisy", Good: true, Layout: Commas,
			Story:   "Long leads beside the chest freezer: 15 mV and 20 mA of noise, and a zero that is not zero.",
			Battery: car(0.3), Charger: Charger{Amps: 8, Volts: 14.4, TailAmps: 0.75},
			Meter: Meter{Every: 10, NoiseVolts: 0.015, NoiseAmps: 0.020, StepVolts: 0.001, StepAmps: 0.001, ZeroAmps: -0.008},
		},
		{
			Name: "drill-missing-rows", Good: true, Layout: Commas,
			Story:   "A bad plug: one row in twenty never arrives, and the others come a little early or late.",
			Battery: drill(0.2), Charger: Charger{Amps: 2, Volts: 12.6, TailAmps: 0.1},
			Meter: Meter{Every: 5, Jitter: 0.4, Missing: 0.05, NoiseVolts: 0.002, NoiseAmps: 0.003, StepVolts: 0.001, StepAmps: 0.001},
		},
		{
			Name: "caravan-pauses", Good: true, Layout: DateTime,
			Story:   "A charger that stops for a minute every half hour to look at the open circuit.",
			Battery: caravan(0.4), Charger: Charger{Amps: 8, Volts: 14.4, TailAmps: 0.78, PauseEvery: 1800, PauseFor: 60},
			Meter: benchMeter(10),
		},
		{
			Name: "mower-two-hour-timer", Layout: Labelled,
			Story:   "The charger's own safety timer ends the charge after two hours, far too early.",
			Battery: mower(0.1), Charger: Charger{Amps: 2, Volts: 14.4, TailAmps: 0.2, Timer: 2 * hour},
			Meter: benchMeter(5),
		},
		{
			Name: "outboard-two-charges", Good: true, Layout: Tabs,
			Story:   "Charged, rested, an afternoon on the lake, rested, and charged again, all in one log.",
			Battery: outboard(0.5), Charger: Charger{Amps: 12, Volts: 14.6, TailAmps: 1.1},
			Meter: benchMeter(15),
			Plan:  []Phase{Sleep(300), Charge(), Sleep(2 * hour), Draw(15, 1.4*hour), Sleep(hour), Charge(), Sleep(1.5 * hour)},
		},
		{
			Name: "car-power-failure", Good: true, Layout: Commas,
			Story:   "The mains failed for twelve minutes in the middle; the recorder ran on from its own battery.",
			Battery: car(0.4), Charger: Charger{Amps: 6, Volts: 14.4, TailAmps: 0.58, SoftStart: 20},
			Meter:  benchMeter(10),
			Faults: Faults{Lost: []Span{{9000, 9720}}},
		},
	}
	for i := range nights {
		nights[i].Seed = uint64(i + 1)
		nights[i].Began = evening.AddDate(0, 0, i)
	}
	return nights
}
