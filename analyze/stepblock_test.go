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
	for seed := range uint64(300) {
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

// wild is some hours of stretches in each of which volts, amps and degrees stand or
// drift, and hardly scatter.
func wild(r *rand.Rand) []analyze.Sample {
	var rows []analyze.Sample
	at, every := 0.0, []float64{1, 2, 10}[r.IntN(3)]
	volts, amps, celsius := 12+r.Float64(), 5.0, 20.0
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
		scatter, still := []float64{0, 0.002, 0.05}[r.IntN(3)], r.IntN(8) == 0
		for range 3 + r.IntN(400) {
			at += every
			volts, amps, celsius = volts+dv, amps+di, celsius+dc
			s := analyze.Sample{At: at, Volts: volts, Amps: amps, Celsius: celsius, Skew: skew, Line: len(rows) + 1, Counter: analyze.Unknown()}
			if !still {
				s.Volts += scatter * r.NormFloat64()
				s.Amps += scatter * r.NormFloat64()
			}
			s.Volts, s.Amps = math.Round(s.Volts*1000)/1000, math.Round(s.Amps*1000)/1000
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
