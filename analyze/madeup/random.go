package madeup

import (
	"fmt"
	"math/rand/v2"
	"time"

	"amphora/analyze"
)

// Random draws a good night: a battery of one of four chemistries, a charger
// that suits it and has some habits, and a meter that may be poor. No warning is
// due in any of them.
func Random(seed uint64) Night {
	d := draw{newRandom(seed ^ 0x6e69676874)}
	n := Night{
		Name: fmt.Sprintf("random-%d", seed), Story: "Drawn by chance.", Good: true, Seed: seed,
		Began: time.Date(2026, 1, 1, 18, 0, 0, 0, time.UTC).Add(time.Duration(d.IntN(1<<24)) * time.Second),
	}
	switch d.IntN(4) {
	case 0:
		d.lead(&n)
	case 1:
		d.lithium(&n, analyze.LiIon, 4.2, d.of(1, 3, 4, 5))
	case 2:
		d.lithium(&n, analyze.LiFePO4, 3.65, d.of(4, 8))
	case 3:
		d.nickel(&n)
	}
	n.Plan = []Phase{Sleep(d.between(60, 600)), Charge(), Sleep(d.between(1800, 4*hour))}
	return n
}

// draw draws lots.
type draw struct{ *rand.Rand }

func (d draw) between(low, high float64) float64 { return low + (high-low)*d.Float64() }

func (d draw) of(choices ...float64) float64 { return choices[d.IntN(len(choices))] }

func (d draw) oneIn(n int) bool { return d.IntN(n) == 0 }

func (d draw) lead(n *Night) {
	chemistry, volts := analyze.LeadFlooded, d.between(14.4, 14.7)
	switch d.IntN(3) {
	case 1:
		chemistry = analyze.LeadAGM
	case 2:
		chemistry, volts = analyze.LeadGel, d.between(14.1, 14.4)
	}
	ah := d.of(18, 35, 45, 60, 80, 100)
	n.Battery = Battery{Chemistry: chemistry, Cells: 6, CapacityAh: ah, StateOfCharge: d.between(0.02, 0.7), Celsius: d.between(12, 25)}
	n.Charger = Charger{Amps: ah * d.between(0.08, 0.22), Volts: round(volts, 0.01)}
	if chemistry == analyze.LeadFlooded || d.oneIn(2) {
		// What gasses in a flooded battery may keep the current above a tenth.
		n.Charger.TailAmps = ah * d.between(0.018, 0.03)
		n.Charger.FloatVolts, n.Charger.FloatFor = 13.6, d.between(hour, 4*hour)
	} else {
		n.Charger.TailAmps = n.Charger.Amps * d.between(0.07, 0.095)
	}
	if d.oneIn(4) {
		n.Charger.Watts = n.Charger.Amps * d.between(12.2, 13.5)
	}
	if d.oneIn(6) {
		n.Charger.PauseEvery, n.Charger.PauseFor = 1800, 60
	}
	d.habits(&n.Charger)
	d.meter(n, 0.1)
}

func (d draw) lithium(n *Night, c analyze.Chemistry, volts, cells float64) {
	ah := d.of(2, 2.6, 4, 5, 10)
	if c == analyze.LiFePO4 {
		ah = d.of(10, 20, 50, 100)
	}
	n.Battery = Battery{Chemistry: c, Cells: int(cells), CapacityAh: ah, StateOfCharge: d.between(0.03, 0.6), Celsius: d.between(15, 27)}
	n.Charger = Charger{Amps: ah * d.between(0.2, 0.6), Volts: round(volts*cells, 0.001), TailAmps: ah * d.between(0.02, 0.05)}
	d.habits(&n.Charger)
	coarsest := 0.1
	if cells == 1 {
		coarsest = 0.01 // a tenth of a volt hides a single cell's whole night
	}
	d.meter(n, coarsest)
}

// nickel chargers look for a fall of millivolts, so their meters are fair ones.
func (d draw) nickel(n *Night) {
	cells, ah := d.of(4, 6, 8), d.of(0.8, 2, 2.5)
	n.Battery = Battery{Chemistry: analyze.NiMH, Cells: int(cells), CapacityAh: ah, StateOfCharge: d.between(0.02, 0.4), Celsius: d.between(18, 25)}
	n.Charger = Charger{Amps: ah * d.between(0.5, 1), PeakDrop: cells * d.between(0.005, 0.010)}
	n.Meter = Meter{
		Every: d.of(1, 2, 5, 10), NoiseVolts: d.between(0, 0.002), NoiseAmps: d.between(0, 0.003),
		StepVolts: 0.001, StepAmps: 0.001, Celsius: true,
	}
}

func (d draw) habits(c *Charger) {
	if d.oneIn(3) {
		c.SoftStart = d.between(10, 240)
	}
	if d.oneIn(5) {
		c.Overshoot, c.OvershootDecay = c.Volts*d.between(0.001, 0.004), d.between(30, 120)
	}
	if d.oneIn(5) {
		c.Drift, c.DriftPeriod = c.Volts*0.0007, d.between(3000, 9000)
	}
}

func (d draw) meter(n *Night, coarsest float64) {
	n.Meter = Meter{
		Every:      d.of(1, 2, 5, 10, 20, 30, 60),
		NoiseVolts: d.between(0.0005, 0.015), NoiseAmps: d.between(0.0005, 0.020),
		StepVolts: min(coarsest, d.of(0.001, 0.01, 0.1)), StepAmps: d.of(0.001, 0.01, 0.1),
		Celsius: d.oneIn(3),
	}
	if n.Battery.CapacityAh < 10 {
		// A small pack's tail drowns in a big meter's noise.
		n.Meter.NoiseAmps, n.Meter.StepAmps = n.Meter.NoiseAmps/4, min(n.Meter.StepAmps, 0.01)
	}
	if d.oneIn(4) {
		n.Meter.Jitter = n.Meter.Every * d.between(0.01, 0.2)
	}
	if d.oneIn(6) {
		n.Meter.Missing = d.between(0.01, 0.05)
	}
	if d.oneIn(4) {
		n.Meter.ZeroAmps = d.between(-0.01, 0.01)
	}
}
