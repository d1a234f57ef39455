package madeup_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// Sources, by the signs that stand beside the checks ("reference" is the
// project's list of published figures):
//
//	O1              a battery maker's answers: rest voltages after 24 h
//	O2 O3 O8 O11    consumer tables of a flooded battery's rest voltage; O3 credits BCI
//	E1 E4 E6        a battery maker's lessons; a cell designer's pages; an encyclopaedia copy
//	D4              an encyclopaedia copy on DIN 41773
//	L1 L3 L6        data sheets of a 304 Ah LiFePO4 cell and of two lithium-ion cells
//	N2              a secondary source for IEC 61951-2

// perfect is a meter that reads every tick and spoils nothing.
var perfect = madeup.Meter{Every: 0.5, Celsius: true}

func twelveVolts(c analyze.Chemistry, ah, charge float64) madeup.Battery {
	return madeup.Battery{Chemistry: c, Cells: 6, CapacityAh: ah, StateOfCharge: charge, Celsius: 25}
}

// A perfect meter's rows, held until the next, are the true current: their sum
// is the stated charge and energy.
func TestChargeIsConserved(t *testing.T) {
	for _, n := range madeup.All() {
		n.Meter = perfect
		n.Faults.ClockSteps = nil
		t.Run(n.Name, func(t *testing.T) {
			rows, truth := n.Collect()
			var in, out, energy float64
			for _, s := range rows {
				in += max(0, s.Amps) * 0.5 / 3600
				out -= min(0, s.Amps) * 0.5 / 3600
				energy += max(0, s.Amps) * s.Volts * 0.5 / 3600
			}
			for _, c := range truth.Charges {
				in -= float64(c.InAh)
				out -= float64(c.OutAh)
				energy -= float64(c.InWh)
			}
			assert.InDelta(t, 0, in, 1e-6)
			assert.InDelta(t, 0, out, 1e-6)
			assert.InDelta(t, 0, energy, 1e-5)
		})
	}
}

// What goes in is in the battery, less what the side reaction and the charging
// efficiency take: the charge factors of the reference, section 5.
func TestChargeFactors(t *testing.T) {
	for _, c := range []struct {
		chemistry   analyze.Chemistry
		cells       int
		charger     madeup.Charger
		least, most float64
		source      string
	}{
		{analyze.LeadFlooded, 6, madeup.Charger{Amps: 6, Volts: 14.7, TailAmps: 0.9}, 1.15, 1.30, "E1, a battery maker: flooded 1.15 to 1.30"},
		{analyze.LeadAGM, 6, madeup.Charger{Amps: 6, Volts: 14.4, TailAmps: 0.6}, 1.04, 1.12, "E1: VRLA 1.04 to 1.12"},
		{analyze.LeadGel, 6, madeup.Charger{Amps: 6, Volts: 14.4, TailAmps: 0.6}, 1.04, 1.12, "E1: VRLA 1.04 to 1.12"},
		{analyze.LiIon, 3, madeup.Charger{Amps: 20, Volts: 12.6, TailAmps: 3}, 1.00, 1.01, "E4: lithium-ion above 99 % by charge"},
		{analyze.LiFePO4, 4, madeup.Charger{Amps: 20, Volts: 14.6, TailAmps: 3}, 1.00, 1.01, "E4, taken to hold for this cathode too"},
		{analyze.NiMH, 6, madeup.Charger{Amps: 30, PeakDrop: 0.04}, 1 / 0.92, 1 / 0.66, "E6: NiMH 66 to 92 % by charge"},
	} {
		t.Run(string(c.chemistry), func(t *testing.T) {
			b := twelveVolts(c.chemistry, 60, 0)
			b.Cells = c.cells
			truth := madeup.Night{Battery: b, Charger: c.charger, Meter: perfect}.Truth().Charges[0]
			factor := float64(truth.InAh) / (60 * float64(truth.StateOfCharge))
			assert.Equal(t, analyze.Complete, truth.Outcome)
			assert.GreaterOrEqual(t, factor, c.least, c.source)
			assert.LessOrEqual(t, factor, c.most, c.source)
		})
	}
}

// Flat lead-acid at a tenth of its capacity takes 12 to 20 hours in all (common
// practice, no source).
func TestFlatLeadAcidTakesTheNight(t *testing.T) {
	for chemistry, volts := range map[analyze.Chemistry]float64{analyze.LeadFlooded: 14.7, analyze.LeadAGM: 14.4, analyze.LeadGel: 14.4} {
		t.Run(string(chemistry), func(t *testing.T) {
			n := madeup.Night{
				Battery: twelveVolts(chemistry, 60, 0), Meter: perfect,
				Charger: madeup.Charger{Amps: 6, Volts: volts, TailAmps: 0.9},
			}
			c := n.Truth().Charges[0]
			hours := float64(c.EndS-c.StartS) / 3600
			assert.GreaterOrEqual(t, hours, 12.)
			assert.LessOrEqual(t, hours, 20.)
		})
	}
}

// A lead-acid battery reaches the voltage limit at 70 to 80 % of its charge
// (reference, section 4b, D4, which names no current; a fifth of the capacity
// is usual there), and tapers in a way that is not one exponential.
func TestLeadAcidTaper(t *testing.T) {
	n := madeup.Night{
		Battery: twelveVolts(analyze.LeadAGM, 60, 0), Meter: madeup.Meter{Every: 60},
		Charger: madeup.Charger{Amps: 12, Volts: 14.4, TailAmps: 0.6},
	}
	rows, truth := n.Collect()
	c := truth.Charges[0]
	before := 12 * float64(c.LimitS-c.StartS) / 3600 / 60
	assert.InDelta(t, 0.75, before/1.05, 0.05, "1.05 is the charge factor")

	amps := func(s analyze.Number) float64 { return rows[int(s)/60].Amps }
	early := math.Log(amps(c.LimitS+600) / amps(c.LimitS+600+3600))
	late := math.Log(amps(c.EndS-3700) / amps(c.EndS-100))
	assert.Greater(t, early, 1.5*late, "e-folds an hour")
}

// Rest voltages of 12 V batteries (reference, section 3).
func TestRestVoltages(t *testing.T) {
	for _, c := range []struct {
		chemistry   analyze.Chemistry
		charge      float64
		least, most float64
		source      string
	}{
		{analyze.LeadFlooded, 1.00, 12.64, 12.67, "O2, O3, O8, O11"},
		{analyze.LeadFlooded, 0.75, 12.44, 12.46, "O2, O3, O8, O11"},
		{analyze.LeadFlooded, 0.50, 12.23, 12.25, "O2, O3, O8, O11"},
		{analyze.LeadFlooded, 0.25, 12.05, 12.07, "O2, O3, O8, O11"},
		{analyze.LeadFlooded, 0.00, 11.88, 11.90, "O2, O3, O8, O11"},
		{analyze.LeadAGM, 1.00, 12.80, 12.90, "O1"},
		{analyze.LeadAGM, 0.75, 12.55, 12.65, "O1"},
		{analyze.LeadAGM, 0.50, 12.25, 12.35, "O1"},
		{analyze.LeadAGM, 0.25, 11.95, 12.05, "O1"},
		{analyze.LeadAGM, 0.00, 11.75, 11.85, "O1"},
		{analyze.LeadGel, 1.00, 12.85, 12.95, "O1"},
		{analyze.LeadGel, 0.75, 12.60, 12.70, "O1"},
		{analyze.LeadGel, 0.50, 12.30, 12.40, "O1"},
		{analyze.LeadGel, 0.00, 11.75, 11.85, "O1"},
	} {
		t.Run(fmt.Sprintf("%s at %g", c.chemistry, c.charge), func(t *testing.T) {
			n := madeup.Night{Battery: twelveVolts(c.chemistry, 60, c.charge), Meter: perfect, Plan: []madeup.Phase{madeup.Sleep(5)}}
			rows, _ := n.Collect()
			for _, r := range []analyze.Sample{rows[0], rows[len(rows)-1]} {
				assert.GreaterOrEqual(t, r.Volts, c.least, c.source)
				assert.LessOrEqual(t, r.Volts, c.most, c.source)
			}
		})
	}
}

// After a charge the voltage falls quickly to about 13.2 V and slowly to 12.6 to
// 12.7 V (reference, section 9, O11; a full flooded battery): hours, not minutes.
func TestSurfaceChargeFades(t *testing.T) {
	n := madeup.Night{
		Battery: twelveVolts(analyze.LeadFlooded, 60, 0.3), Meter: madeup.Meter{Every: 60},
		Charger: madeup.Charger{Amps: 6, Volts: 14.4, TailAmps: 0.7},
		Plan:    []madeup.Phase{madeup.Charge(), madeup.Sleep(24 * 3600)},
	}
	rows, truth := n.Collect()
	c := truth.Charges[0]
	after := func(hours float64) float64 { return rows[int(float64(c.EndS)/60+hours*60)].Volts }
	assert.InDelta(t, 12.65, float64(c.SettledVolts), 0.05)
	assert.Greater(t, after(1), 12.75)
	assert.Less(t, after(1), 13.3)
	assert.Greater(t, after(2), float64(c.SettledVolts)+0.02)
	assert.InDelta(t, float64(c.SettledVolts), after(23.9), 0.06)
}

// Two seconds of current, and Ohm's law (reference, section 8): the step of the
// voltage over the step of the current is the stated resistance, and a little
// more for the polarisation that has begun.
func TestOhmsLawAtTheStep(t *testing.T) {
	for _, chemistry := range analyze.Chemistries() {
		t.Run(string(chemistry), func(t *testing.T) {
			n := madeup.Night{
				Battery: twelveVolts(chemistry, 20, 0.5), Charger: madeup.Charger{Amps: 4, Volts: 50},
				Meter: perfect, Plan: []madeup.Phase{madeup.Sleep(10), madeup.ChargeFor(2), madeup.Sleep(1)},
			}
			rows, truth := n.Collect()
			ohm := (rows[20].Volts - rows[19].Volts) / (rows[20].Amps - rows[19].Amps)
			require.InDelta(t, 4, rows[20].Amps, 1e-12)
			assert.InEpsilon(t, float64(truth.Charges[0].Ohm), ohm, 0.25)
			assert.Greater(t, ohm, float64(truth.Charges[0].Ohm))
		})
	}
}

// The lithium limits per cell: 4.20 V (reference, section 4c, L3, L6) and 3.65 V
// with a cut-off of 0.05 C (L1). LiFePO4 hides on its plateau how full it is.
func TestLithium(t *testing.T) {
	for chemistry, limit := range map[analyze.Chemistry]float64{analyze.LiIon: 4.20, analyze.LiFePO4: 3.65} {
		t.Run(string(chemistry), func(t *testing.T) {
			b := madeup.Battery{Chemistry: chemistry, Cells: 4, CapacityAh: 10, StateOfCharge: 0.05, Celsius: 25}
			n := madeup.Night{Battery: b, Meter: madeup.Meter{Every: 10}, Charger: madeup.Charger{Amps: 3, Volts: 4 * limit, TailAmps: 0.5}}
			rows, truth := n.Collect()
			c := truth.Charges[0]
			assert.Equal(t, analyze.EndTailCurrent, c.EndedBy)
			assert.InDelta(t, 4*limit, float64(c.PeakVolts), 1e-9)
			assert.InDelta(t, 1, float64(c.StateOfCharge), 0.03)

			third := rows[int(float64(c.LimitS)*0.33/10)].Volts / 4
			most := rows[int(float64(c.LimitS)*0.85/10)].Volts / 4
			if chemistry == analyze.LiFePO4 {
				assert.Less(t, most-third, 0.08, "V per cell over half of the charge")
			} else {
				assert.Greater(t, most-third, 0.25, "V per cell over half of the charge")
			}
		})
	}
}

// The capacity test's charge: 0.1 It for 16 h is 3.2 Ah into 2.0 Ah, a factor of
// 1.60 (reference, section 4d, N2).
func TestNickelSixteenHours(t *testing.T) {
	n := madeup.Night{
		Battery: madeup.Battery{Chemistry: analyze.NiMH, Cells: 6, CapacityAh: 2, Celsius: 20}, Meter: perfect,
		Charger: madeup.Charger{Amps: 0.2, Timer: 16 * 3600},
	}
	c := n.Truth().Charges[0]
	assert.InDelta(t, 3.2, float64(c.InAh), 1e-6)
	assert.InDelta(t, 1.6, float64(c.InAh/2), 1e-6)
	assert.InDelta(t, 1, float64(c.StateOfCharge), 0.03)
	assert.Less(t, float64(c.PeakCelsius), 40., "it stays lukewarm")
}

// At half to once the capacity an hour the voltage peaks, falls by 5 to 10 mV a
// cell within minutes (reference, section 4d, from memory), and the cells warm.
func TestNickelPeaks(t *testing.T) {
	for _, rate := range []float64{0.5, 1} {
		n := madeup.Night{
			Battery: madeup.Battery{Chemistry: analyze.NiMH, Cells: 6, CapacityAh: 2, StateOfCharge: 0.1, Celsius: 20},
			Charger: madeup.Charger{Amps: 2 * rate, PeakDrop: 6 * 0.0075},
			Meter:   perfect,
		}
		rows, truth := n.Collect()
		c := truth.Charges[0]
		assert.Equal(t, analyze.EndVoltagePeak, c.EndedBy)
		assert.InDelta(t, 1.5, float64(c.PeakVolts)/6, 0.08)
		assert.Less(t, float64(c.EndS-c.FinishS), 600.)
		at := func(s analyze.Number) analyze.Sample { return rows[int(s*2)-1] }
		assert.Greater(t, at(c.EndS).Celsius-at(c.FinishS).Celsius, 2., "K after the peak")
		assert.InDelta(t, 0.045, at(c.FinishS).Volts-at(c.EndS).Volts, 0.002)
	}
}
