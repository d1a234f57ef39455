package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Pulses of the open log li37 by hand, from the two rows at each step:
//
//	      V before, A       V after, A     ohm = change of V / change of A
//	29.5 s    4.082  -30.00     4.133    0.01    0.051 V / 30.01 A = 1.699 mohm
//	4759.6 s  4.086    0.01     4.039  -30.00    0.047 V / 30.01 A = 1.566 mohm
//	4789.6 s  4.007  -30.00     4.056    0.01    0.049 V / 30.01 A = 1.633 mohm
//	4829.6 s  4.074    0.01     4.106   21.87    0.032 V / 21.86 A = 1.464 mohm
//	4839.6 s  4.123   22.50     4.071  -10.00    0.052 V / 32.50 A = 1.600 mohm
//
// The rows after lie 0.1 to 1 s from the step, and the display steps by 1 mV.
func TestPulsesByHand(t *testing.T) {
	s := run(analyze.Options{}, readPlain(t, "li37_leaf_hppc_pulses.csv")).Sessions[0]
	for at, hand := range map[float64]float64{
		29.5: (4.133 - 4.082) / 30.01, 4759.6: (4.086 - 4.039) / 30.01, 4789.6: (4.056 - 4.007) / 30.01,
		4829.6: (4.106 - 4.074) / 21.86, 4839.6: (4.123 - 4.071) / 32.50,
	} {
		r, ok := resistanceAt(s.Resistance, at)
		require.True(t, ok, "%g s", at)
		t.Logf("%g s: %.3f mohm (u95 %.3f), by hand %.3f", at, 1000*r.Ohm, 1000*r.OhmU95, 1000*hand)
		assert.InEpsilon(t, hand, float64(r.Ohm), 0.08, "%g s", at)
		assert.InDelta(t, hand, float64(r.Ohm), float64(r.OhmU95), "%g s", at)
		assert.Contains(t, r.Method, "could not tell", "the last steps have rows of 60 s after them")
	}
}

func resistanceAt(list []analyze.Resistance, at float64) (r analyze.Resistance, ok bool) {
	for _, r := range list {
		if math.Abs(float64(r.AtS)-at) <= 1 {
			return r, true
		}
	}
	return r, false
}

// pulse is a resistance of 50 mohm before a double layer of 30 mohm and 12 s: 0.8
// A, then nothing, then 2 A out, each for a minute, in rows so many seconds apart;
// the last digit of the current, 1 mA, flickers.
func pulse(every, lag float64) []analyze.Sample {
	const ohm, layer, tau = 0.050, 0.030, 12.0
	var rows []analyze.Sample
	over, now := 0.0, 0.0
	for k := range 5 {
		amps := []float64{0, 0.8, 0, -2, 0}[k]
		for end := float64(k+1) * 60; now < end; now += 0.1 {
			over += (amps*layer - over) * (1 - math.Exp(-0.1/tau))
			if r := math.Mod(now+lag, every); r < 0.05 || r > every-0.05 {
				rows = append(rows, analyze.Sample{At: now, Volts: math.Round((12.4+amps*ohm+over)*1e4) / 1e4, Amps: amps + float64(len(rows)*7%3-1)/1000, Celsius: 25})
			}
		}
	}
	return rows
}

func TestOhmicPartOfAnRC(t *testing.T) {
	for _, every := range []float64{0.5, 1} {
		s := run(analyze.Options{}, pulse(every, 0.2)).Sessions[0]
		require.Len(t, s.Resistance, 4, "rows of %g s", every)
		for _, r := range s.Resistance {
			assert.InEpsilon(t, 0.050, float64(r.Ohm), 0.08, "%g s rows, %g s", every, r.AtS)
			assert.InDelta(t, 0.050, float64(r.Ohm), float64(r.OhmU95))
		}
		first := s.Resistance[0]
		assert.InDelta(t, 60, float64(first.AtS), every)
		assert.InDelta(t, 0, float64(first.FromA), 1e-3)
		assert.InDelta(t, 0.8, float64(first.ToA), 1e-3)
	}
	far := run(analyze.Options{}, pulse(10, 0.2)).Sessions[0]
	assert.Empty(t, far.Resistance, "rows as far apart as the layer is quick cannot tell")
}

// Only what is known best is kept, in the order of time; the rest is counted.
func TestManySteps(t *testing.T) {
	var rows []analyze.Sample
	for k := range 30 {
		for _, r := range pulse(1, 0.2) {
			r.At += 300 * float64(k)
			rows = append(rows, r)
		}
	}
	s := run(analyze.Options{}, rows).Sessions[0]
	require.Len(t, s.Resistance, 20)
	for k := 1; k < len(s.Resistance); k++ {
		assert.Greater(t, s.Resistance[k].AtS, s.Resistance[k-1].AtS)
	}
	assert.Contains(t, s.Resistance[0].Method, "not listed: 100")
}

// A meter that shows the new current a moment before the new voltage, as some
// do, must not be believed.
func TestVoltageOutOfStepWithCurrent(t *testing.T) {
	rows := pulse(1, 0.2)
	for k := len(rows) - 1; k > 0; k-- {
		rows[k].Volts = rows[k-1].Volts
	}
	for _, r := range run(analyze.Options{}, rows).Sessions[0].Resistance {
		assert.InDelta(t, 0.050, float64(r.Ohm), float64(r.OhmU95), "%g s", r.AtS)
	}
}

// Nights of our own model, whose ohmic resistance is known: it depends on
// nothing but the temperature.
func TestResistanceOfMadeupNights(t *testing.T) {
	for _, b := range []madeup.Battery{
		{Chemistry: analyze.LeadFlooded, Cells: 6, CapacityAh: 60, StateOfCharge: 0.4, Celsius: 20},
		{Chemistry: analyze.LeadAGM, Cells: 6, CapacityAh: 18, StateOfCharge: 0.5, Celsius: 16},
		{Chemistry: analyze.LeadGel, Cells: 6, CapacityAh: 80, StateOfCharge: 0.6, Celsius: 14},
		{Chemistry: analyze.LiIon, Cells: 3, CapacityAh: 4, StateOfCharge: 0.5, Celsius: 21},
		{Chemistry: analyze.LiFePO4, Cells: 4, CapacityAh: 50, StateOfCharge: 0.5, Celsius: 20},
		{Chemistry: analyze.NiMH, Cells: 6, CapacityAh: 2, StateOfCharge: 0.3, Celsius: 21},
	} {
		t.Run(string(b.Chemistry), func(t *testing.T) {
			load := 0.3 * b.CapacityAh
			n := madeup.Night{
				Battery: b, Charger: madeup.Charger{Amps: load, Volts: 99}, Seed: 1,
				Meter: madeup.Meter{Every: 1, NoiseVolts: 0.0005, StepVolts: 0.001, NoiseAmps: 0.002, StepAmps: 0.001},
				Plan:  []madeup.Phase{madeup.Sleep(120), madeup.ChargeFor(600), madeup.Sleep(300), madeup.Draw(load, 120), madeup.Sleep(120)},
			}
			rows, truth := n.Collect()
			s := run(analyze.Options{}, rows).Sessions[0]
			require.NotEmpty(t, s.Resistance)
			for _, r := range s.Resistance {
				t.Logf("%.0f s: %.5f ohm (u95 %.5f), in truth %.5f", r.AtS, r.Ohm, r.OhmU95, truth.Charges[0].Ohm)
				assert.InEpsilon(t, float64(truth.Charges[0].Ohm), float64(r.Ohm), 0.08, "%g s", r.AtS)
				assert.InDelta(t, float64(truth.Charges[0].Ohm), float64(r.Ohm), float64(r.OhmU95), "%g s", r.AtS)
			}
		})
	}
}

// Random nights, by a good meter and by their own, which may be a poor one: what
// is told is true within its uncertainty, and what cannot be told is left out.
func TestResistanceOfRandomNights(t *testing.T) {
	var n, inside int
	for seed := range uint64(60) {
		night := madeup.Random(seed)
		load := 0.3 * night.Battery.CapacityAh
		night.Plan = []madeup.Phase{madeup.Sleep(300), madeup.ChargeFor(900), madeup.Sleep(300), madeup.Draw(load, 120), madeup.Sleep(300), madeup.ChargeFor(300), madeup.Sleep(100)}
		own := night.Meter
		for _, meter := range []madeup.Meter{own, {Every: 1, NoiseVolts: 0.001, StepVolts: 0.001, NoiseAmps: 0.002, StepAmps: 0.001}} {
			night.Meter = meter
			night.Meter.Celsius = true
			rows, truth := night.Collect()
			last := truth.Charges[len(truth.Charges)-1]
			for _, s := range run(analyze.Options{}, rows).Sessions {
				for _, r := range s.Resistance {
					warmer := celsiusAt(rows, float64(last.EndS)) - celsiusAt(rows, float64(r.AtS))
					ohm := float64(last.Ohm) * math.Exp(0.0085*warmer) // the model's own slope
					n++
					if math.Abs(float64(r.Ohm)-ohm) <= float64(r.OhmU95) {
						inside++
					} else {
						t.Logf("%s, %s, rows of %g s: %.5f ohm (u95 %.5f), in truth %.5f", night.Name, night.Battery.Chemistry, meter.Every, r.Ohm, r.OhmU95, ohm)
					}
				}
			}
		}
	}
	t.Logf("%d of %d inside", inside, n)
	assert.Greater(t, n, 150)
	assert.GreaterOrEqual(t, float64(inside), 0.95*float64(n))
}

func celsiusAt(rows []analyze.Sample, at float64) (celsius float64) {
	for _, r := range rows {
		if r.At > at {
			break
		}
		celsius = r.Celsius
	}
	return celsius
}
