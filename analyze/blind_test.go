package analyze_test

import (
	"math/rand/v2"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// unwatched is a night without the rows from a time before its current stops to one after, s.
func unwatched(n madeup.Night, before, after float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		return without(collected(n)(), lastFlow(n)-before, lastFlow(n)+after)
	}
}

// A charge that may have come to its end while nobody looked was not dropped for certain.
// It is cut short all the same by the rules of its outcome, as its end was not seen.
func TestNothingIsSaidToBeDroppedThatMayBeDone(t *testing.T) {
	done, peak := madeup.Named("mower-two-hour-timer"), madeup.Named("lantern-peak")
	done.Charger.Timer = 0
	for name, c := range map[string]struct {
		night madeup.Night
		rows  func() []analyze.Sample
	}{
		"nickel, not watched for ten minutes": {peak, unwatched(peak, 420, 180)},
		"nickel, its last minutes":            {peak, unwatched(peak, 260, 10)},
		"not watched for most of the night":   {done, unwatched(done, 6*anHour, anHour)},
	} {
		for _, o := range []analyze.Options{{}, known(c.night)} {
			s := run(o, c.rows()).Sessions[0]
			assert.Equal(t, analyze.CutShort, s.Outcome, name)
			assert.NotContains(t, codesOf(&s), analyze.CodeCurrentDropped, name)
			assert.Contains(t, codesOf(&s), analyze.CodeDataGap, name)
		}
	}
}

// The whole current, seen to cease soon after a gap, is no end of a battery that is known not
// to peak.
func TestACurrentThatCeasesSoonAfterAGapWasDroppedIfItCannotHavePeaked(t *testing.T) {
	n := madeup.Named("mower-two-hour-timer")
	rows := unwatched(n, 800, -80)()
	s := run(analyze.Options{Chemistry: known(n).Chemistry}, rows).Sessions[0] // without a capacity there is no forecast
	assert.Contains(t, codesOf(&s), analyze.CodeCurrentDropped)
	s = run(analyze.Options{}, rows).Sessions[0]
	assert.NotContains(t, codesOf(&s), analyze.CodeCurrentDropped, "it may be nickel")
	assert.Equal(t, analyze.CutShort, s.Outcome)
}

// Wherever a recorder was off for a while on a good night, there is one charge without a
// warning, and what was measured and what is estimated come to what truly flowed. What
// nobody can see is left out: a charge of which less than a tenth is left, and its end.
func TestHolesInGoodNightsRaiseNoWarning(t *testing.T) {
	for seed := range uint64(60) {
		n := madeup.Random(seed)
		t.Run(n.Name, func(t *testing.T) {
			t.Parallel()
			rows, truth := n.Collect()
			c := truth.Charges[0]
			random := rand.New(rand.NewPCG(seed, 11))
			for range 4 {
				from := rows[0].At + random.Float64()*(float64(c.EndS)-rows[0].At)
				to := from + float64(c.EndS-c.StartS)*[]float64{0.01, 0.05, 0.1, 0.3, 0.6}[random.IntN(5)]
				most := rows[len(rows)-1].At - 600
				if from < float64(c.StartS) {
					most = float64(c.StartS) + 0.9*float64(c.EndS-c.StartS)
				}
				if to > most {
					continue
				}
				for _, o := range []analyze.Options{{}, known(n)} {
					d := run(o, without(rows, from, to))
					require.Len(t, d.Sessions, 1, "%.0f to %.0f: %s", from, to, listed(d))
					s := &d.Sessions[0]
					assert.Empty(t, warnings(d), "%.0f to %.0f: %s", from, to, listed(d))
					in, u := float64(s.ChargeInAh), float64(s.ChargeInAhU95)
					for _, g := range s.Gaps {
						in, u = in+float64(g.ChargeAh), u+float64(g.ChargeAhU95)
					}
					assert.InDelta(t, float64(c.InAh), in, u+0.01*in, "%.0f to %.0f", from, to)
				}
			}
		})
	}
}

// A trickle that began while nobody looked is no end of a battery that stands too low to be full.
func TestATrickleThatBeganUnseenIsStalledWhereTheBatteryIsNotFull(t *testing.T) {
	n := madeup.Named("stalled")
	rows := collected(n)()
	fell := 0
	for rows[fell].Amps < 1 || rows[fell+1].Amps > 1 {
		fell++
	}
	rows = without(rows, rows[fell].At-300, rows[fell].At+300)
	for _, o := range []analyze.Options{known(n), {Chemistry: known(n).Chemistry, Cells: known(n).Cells}} {
		s := run(o, rows).Sessions[0]
		assert.Contains(t, codesOf(&s), analyze.CodeStalled)
	}
	s := run(analyze.Options{}, rows).Sessions[0]
	assert.NotContains(t, codesOf(&s), analyze.CodeStalled, "nothing tells how it stands when it is full")
}
