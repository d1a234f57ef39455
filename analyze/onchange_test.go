package analyze_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// writtenOnChange are those of the rows that differ from the one before, and, if lives is not
// 0, one after so many seconds without.
func writtenOnChange(rows []analyze.Sample, lives float64) []analyze.Sample {
	kept := rows[:1:1]
	for _, r := range rows[1:] {
		last := &kept[len(kept)-1]
		if r.Volts != last.Volts || r.Amps != last.Amps || lives > 0 && r.At-last.At >= lives {
			kept = append(kept, r)
		}
	}
	return kept
}

// A log that is written only on change has no gaps, however its meter flickers, and what went
// in is what it is by all rows.
func TestALogWrittenOnChangeHasNoGaps(t *testing.T) {
	fine := madeup.Meter{Every: 5, StepVolts: 0.01, StepAmps: 0.01, NoiseVolts: 0.0005, NoiseAmps: 0.0005}
	flickering := madeup.Meter{Every: 5, StepVolts: 0.01, StepAmps: 0.1, NoiseVolts: 0.005, NoiseAmps: 0.01}
	coarse := madeup.Meter{Every: 5, StepVolts: 0.1, StepAmps: 0.1, NoiseVolts: 0.002, NoiseAmps: 0.003}
	try := func(n madeup.Night, m madeup.Meter, lives float64) {
		n.Meter = m
		t.Run(fmt.Sprintf("%s, steps of %g V and %g A, a sign of life each %g s", n.Name, m.StepVolts, m.StepAmps, lives), func(t *testing.T) {
			t.Parallel()
			rows, _ := n.Collect()
			all, d := run(known(n), rows), run(known(n), writtenOnChange(rows, lives))
			require.Len(t, d.Sessions, len(all.Sessions))
			s := &d.Sessions[0]
			assert.Empty(t, s.Gaps, listed(d))
			assert.InDelta(t, float64(all.Sessions[0].ChargeInAh), float64(s.ChargeInAh), float64(s.ChargeInAhU95))
			for _, code := range warnings(d) {
				assert.Contains(t, warnings(all), code, listed(d))
			}
		})
	}
	for _, lives := range []float64{0, 300} {
		for seed := range uint64(30) {
			try(madeup.Random(seed), fine, lives)
			try(madeup.Random(seed), flickering, lives)
		}
		for _, name := range []string{"car-flat", "car-partial", "caravan-power-limited", "mower-float"} {
			try(madeup.Named(name), coarse, lives)
		}
	}
}

// A session says how its current was added up: which of the two ways hangs on the source alone.
func TestASessionSaysHowItsCurrentIsAddedUp(t *testing.T) {
	n := madeup.Named("car-flat")
	n.Meter = madeup.Meter{Every: 5, StepVolts: 0.01, StepAmps: 0.01, NoiseVolts: 0.0005, NoiseAmps: 0.0005}
	rows, _ := n.Collect()
	assert.Contains(t, run(known(n), rows).Sessions[0].ChargeMethod, "anywhere between two rows")
	assert.Contains(t, run(known(n), writtenOnChange(rows, 0)).Sessions[0].ChargeMethod, "written on change")
	assert.NotEmpty(t, run(analyze.Options{}, rows[:2]).Sessions[0].ChargeMethod, "without a charge as well")
}

// Rows of a log with a beat are missing where they are missing, however coarse its meter.
func TestAGapAmongCoarseRowsIsOne(t *testing.T) {
	for seed := range uint64(20) {
		n := madeup.Random(seed)
		for _, m := range []madeup.Meter{
			{StepVolts: 0.1, StepAmps: 0.1, NoiseVolts: 0.02, NoiseAmps: 0.02},
			{StepVolts: 0.01, StepAmps: 0.01, NoiseVolts: 0.002, NoiseAmps: 0.003},
			{StepVolts: 0.01, StepAmps: 0.01, NoiseVolts: 0.01, NoiseAmps: 0.02},
		} {
			m.Every = 5
			n.Meter = m
			rows, truth := n.Collect()
			from := (truth.Charges[0].StartS + truth.Charges[0].EndS) / 2
			d := run(known(n), without(rows, float64(from), float64(from)+120))
			require.NotEmpty(t, d.Sessions[0].Gaps, "%s, steps of %g V: %s", n.Name, m.StepVolts, listed(d))
		}
	}
}

// In a log with a beat the days between nights are missing, night after night: by chance no row of
// the few beside each gap may repeat.
func TestDaysBetweenNightsAreGaps(t *testing.T) {
	const every, nights = 20, 20
	for seed := range uint64(300) {
		chance := rand.New(rand.NewPCG(seed, 3))
		volts, amps := 0.0003+0.001*chance.Float64(), 0.0003+0.001*chance.Float64() // scatter, beside steps of 0.001
		step := func(x float64) float64 { return math.Round(1000*x) / 1000 }
		var rows []analyze.Sample
		for night := range nights {
			for k := range 40 + chance.IntN(60) {
				at := float64(night)*86400 + every*float64(k)
				v, i := step(12.7+volts*chance.NormFloat64()), step(amps*chance.NormFloat64())
				rows = append(rows, analyze.Sample{At: at, Volts: v, Amps: i, Celsius: analyze.Unknown(), Counter: analyze.Unknown()})
			}
		}
		d := run(analyze.Options{}, rows)
		assert.Len(t, d.Sessions[0].Gaps, nights-1, "seed %d, scatter of %.2g V and %.2g A", seed, volts, amps)
	}
}
