package analyze_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// Rows in blocks of any length give what they give one by one, and calm ones what they
// give on the long way, to the last bit.
func TestBlocksAreTheSameAsRows(t *testing.T) {
	for seed := range uint64(20) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(seed, 7))
			rows := troubled(r)
			sameInBlocks(t, r, analyze.Options{}, rows)
			sameInBlocks(t, r, analyze.Options{Capacity: 17 * 3600, Chemistry: analyze.LeadAGM}, rows)
			sameInBlocks(t, r, analyze.Options{}, slices.Collect(madeup.Random(seed).Samples()))
		})
	}
}

// Stretches of anything at all, which follow each other without a reason, meet more of
// the ways in which rows stop being calm than any night does.
func TestWildRowsAreTheSameInBlocks(t *testing.T) {
	for seed := range uint64(400) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(seed, 8))
			chemistries := []analyze.Chemistry{"", analyze.LeadAGM, analyze.LiIon, analyze.NiMH}
			o := analyze.Options{Chemistry: chemistries[r.IntN(4)], Capacity: float64(r.IntN(2)) * 10 * 3600}
			if o.Chemistry != "" {
				o.Cells = 1 + r.IntN(6)
			}
			sameInBlocks(t, r, o, wild(r))
		})
	}
}

// The same after a charge, where the battery is what it ought not to be: hot, gone, another
// one, still at the charger's voltage, drained a little or for minutes.
func TestWildRestsAreTheSameInBlocks(t *testing.T) {
	for seed := range uint64(150) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(seed, 9))
			o := analyze.Options{}
			if r.IntN(2) == 0 {
				o = analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 10 * 3600}
			}
			sameInBlocks(t, r, o, wildRest(r))
		})
	}
}

// wildRest is a charge, complete or not, and some hours of stretches without much current.
func wildRest(r *rand.Rand) []analyze.Sample {
	var rows []analyze.Sample
	at, every, scatter := 0.0, []float64{1, 2, 10, 2000}[r.IntN(4)], []float64{0.001, 0.002, 0.004}[r.IntN(3)]
	digit := []float64{0.001, 0.004}[r.IntN(2)] // A, which the meter shows at first
	zero := []float64{0, 0, 0.01}[r.IntN(3)]    // A, what it shows without current
	add := func(volts, amps, celsius float64) {
		at += every
		rows = append(rows, analyze.Sample{
			At: at, Volts: math.Round((volts+scatter*r.NormFloat64())*1000) / 1000, Amps: math.Round((amps+zero+scatter*r.NormFloat64())/digit) * digit,
			Celsius: celsius, Line: len(rows) + 1, Counter: analyze.Unknown(),
		})
	}
	for range 60 + r.IntN(100) { // the meter's zero
		add(12.3, 0, 20)
	}
	for k := range 300 {
		add(12.5+1.9*float64(k)/300, 5, 20)
	}
	digit = 0.001
	until := []float64{0.05, 0.5, 2}[r.IntN(3)]
	for amps := 5.0; amps > until; amps *= 0.995 {
		add(14.4, amps, 20)
	}
	volts, end, amps, celsius := 14.4, 12.9, 0.0, 20.0
	for range 4 + r.IntN(12) {
		step := 0.0
		switch r.IntN(12) {
		case 0:
			amps = []float64{0.004, -0.004, 0.015, -0.03, 0.06, -0.09, -0.5}[r.IntN(7)]
		case 1:
			step = []float64{-0.3, 0.2, 1.5, -1.5}[r.IntN(4)]
		case 2:
			volts, end = 14.4, 14.4
		case 3:
			volts, end = []float64{14.8, 16, 2, 0.1, -1}[r.IntN(5)], 12.9
		case 4:
			celsius = []float64{-30, 20, 58, 70, analyze.Unknown()}[r.IntN(5)]
		case 5:
			at += 1000 + 3000*r.Float64()
			step = []float64{0, 0, 1, -2}[r.IntN(4)]
		case 6:
			scatter = []float64{0.0005, 0.002, 0.01, 0.03}[r.IntN(4)]
		default:
			amps = 0
		}
		volts, end = volts+step, end+step
		for range 3 + r.IntN(600) {
			volts += (end - volts) * every / 600
			switch r.IntN(150) {
			case 0:
				add(volts+[]float64{0.5, 3, -11}[r.IntN(3)], amps, celsius)
			case 1:
				add(volts, 0.05, celsius)
			case 2:
				at += 0.4 * every
				add(volts, amps, celsius)
			default:
				add(volts, amps, celsius)
			}
		}
	}
	return rows
}

// wild is some hours of stretches in each of which volts, amps and degrees stand or
// drift, and hardly scatter.
func wild(r *rand.Rand) []analyze.Sample {
	var rows []analyze.Sample
	at, every := 0.0, []float64{1, 2, 10}[r.IntN(3)]
	volts, amps, celsius := 12+r.Float64(), 5.0, 20.0
	digit := []float64{0.001, 0.01}[r.IntN(2)] // V and A: with the larger one many rows repeat
	for range 5 + r.IntN(25) {
		var dv, di, dc, skew float64
		switch r.IntN(12) {
		case 0:
			amps = []float64{0, 0.003, 0.02, 0.3, 2, 5, 20, -2}[r.IntN(8)]
		case 1:
			volts = []float64{-3, 0.5, 4, 12, 14.4, 16, 18}[r.IntN(7)]
		case 2:
			celsius = []float64{-10, 10, 30, 60, analyze.Unknown()}[r.IntN(5)]
		case 3:
			dv = 0.01 * (r.Float64() - 0.4)
		case 4, 5, 6:
			di = -amps * 0.02 * r.Float64()
		case 7:
			di = amps * 0.02 * r.Float64()
		case 8:
			dc = 0.2 * r.Float64()
		case 9:
			skew = 0.5
		case 10:
			at += 1000 * r.Float64()
		}
		scatter, still := []float64{0, 0.002, 0.008, 0.05}[r.IntN(4)], r.IntN(8) == 0
		for range 3 + r.IntN(400) {
			at += every
			volts, amps, celsius = volts+dv, amps+di, celsius+dc
			s := analyze.Sample{At: at, Volts: volts, Amps: amps, Celsius: celsius, Skew: skew, Line: len(rows) + 1, Counter: analyze.Unknown()}
			if !still {
				s.Volts += scatter * r.NormFloat64()
				s.Amps += scatter * r.NormFloat64()
			}
			s.Volts, s.Amps = math.Round(s.Volts/digit)*digit, math.Round(s.Amps/digit)*digit
			switch r.IntN(300) {
			case 0:
				s.At += 0.4 * every
			case 1:
				s.Amps = 0
			case 2:
				s.Volts += 3
			}
			rows = append(rows, s)
		}
		volts = min(max(volts, -5), 20)
	}
	return rows
}

func sameInBlocks(t *testing.T, r *rand.Rand, o analyze.Options, rows []analyze.Sample) {
	t.Helper()
	blocks, long := analyze.New(o), analyze.New(o)
	long.TheLongWay()
	for rest := rows; len(rest) > 0; {
		n := min(1+r.IntN(700), len(rest))
		blocks.StepBlock(rest[:n])
		long.StepBlock(rest[:n])
		rest = rest[n:]
	}
	want := asJSON(t, run(o, rows))
	assert.Equal(t, want, asJSON(t, blocks.Document()))
	require.Equal(t, want, asJSON(t, long.Document()))
}
