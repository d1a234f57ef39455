package analyze_test

import (
	"math/rand/v2"

	"amphora/analyze"
)

// One of two readings hangs while the other lives.

// noisy is the usual charge by displays whose last digits are so many volts and 1 mA, with half a digit of noise in
// both, and what was edited in it.
func noisy(digit float64, edit func(rows []analyze.Sample)) func() []analyze.Sample {
	return func() []analyze.Sample {
		rows, r := seventeen(), rand.New(rand.NewPCG(3, 5))
		for k := range rows {
			rows[k].Volts = rounded(rows[k].Volts+0.5*digit*r.NormFloat64(), digit)
			if rows[k].Amps > 0 {
				rows[k].Amps = rounded(rows[k].Amps+0.0005*r.NormFloat64(), 0.001)
			}
		}
		edit(rows)
		return rows
	}
}

func voltsHang(from, to int) func(rows []analyze.Sample) {
	return func(rows []analyze.Sample) {
		for k := from; k < to; k++ {
			rows[k].Volts = rows[from].Volts
		}
	}
}

func ampsHang(from, to int) func(rows []analyze.Sample) {
	return func(rows []analyze.Sample) {
		for k := from; k < to; k++ {
			rows[k].Amps = rows[from].Amps
		}
	}
}

func stuckNights() []must {
	both := []analyze.Options{{}, agm17}
	return []must{
		{code: "meter-frozen", name: "the voltage alone, in its rise", of: both, rows: noisy(0.001, voltsHang(500, 1000)),
			begins: 5000, within: 1000, ends: 10000, settles: 1, says: []string{"the voltage is the same since 1 h 23 min", "start it again"}},
		{code: "meter-frozen", name: "the current alone, in its taper", of: both, rows: noisy(0.001, ampsHang(1500, 2200)),
			begins: 15000, within: 1300, ends: 22000, settles: 1, says: []string{"the current is the same since 4 h 10 min"}},
		{code: "meter-frozen", name: "the current alone, beside a voltmeter of ten millivolts", of: both, rows: noisy(0.01, ampsHang(1500, 2200)),
			begins: 15000, within: 1300, ends: 22000, settles: 1},
		{code: "meter-frozen", name: "the current alone, until the battery rests", of: both, rows: noisy(0.001, ampsHang(1500, 2700)),
			begins: 15000, within: 1300, ends: 27000, settles: 1},
	}
}

func stuckNeighbours() []neighbour {
	both := []analyze.Options{{}, agm17}
	return []neighbour{
		{code: "meter-frozen", name: "a voltage that is held to ten millivolts while the current falls", of: both, rows: noisy(0.01, voltsHang(1140, 2580))},
		{code: "meter-frozen", name: "a voltage that is held to the millivolt", of: both, rows: noisy(0.001, voltsHang(1140, 2580))},
		{code: "meter-frozen", name: "a charger that holds its current to the digit", of: both, rows: noisy(0.001, func(rows []analyze.Sample) {
			for k := 60; k < 1140; k++ {
				rows[k].Amps = 5
			}
		})},
		{code: "meter-frozen", name: "a current without digits at rest", of: both, rows: noisy(0.001, func([]analyze.Sample) {})},
		{code: "meter-frozen", name: "a plateau by a display of ten millivolts, while the current lives", of: both, rows: noisy(0.01, voltsHang(500, 620))},
	}
}
