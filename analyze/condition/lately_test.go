package condition_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/analyze/condition"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// restedFull are charges after which the battery was seen to rest.
func (f fading) restedFull(r *rand.Rand) []analyze.Session {
	list := f.sessions(r)
	for k := range list {
		list[k].Rest = &analyze.RestFit{SettledV: 12.85, SettledVU95: 0.05}
	}
	return list
}

// Most batteries hold what they hold for years, and then go. No straight line shows that before it is over.
func TestABatteryThatGoesAtTheEndIsNotCalledSound(t *testing.T) {
	called, shows := 0, 0
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 41))
		f := fading{years: 2, charges: 20 + r.IntN(20), factor: 1.08, lost: 0.3 + 0.1*r.Float64(), from: 0.5 + 0.3*r.Float64(), seasons: 0.08}
		v := condition.Of(agm, f.restedFull(r), nil).Verdict
		if v.State == condition.Ageing || v.State == condition.NearReplacement || v.State == condition.Replace {
			called++
		}
		if strings.HasSuffix(v.Text, " It shows in the last few charges.") {
			shows++
		}
	}
	t.Logf("called %d, by the last few alone %d", called, shows)
	assert.GreaterOrEqual(t, called, 160)
	assert.GreaterOrEqual(t, shows, 50)
}

// Seasons move what a battery gives, and a night may be odd: neither is its end.
func TestSeasonsAndOddNightsAreNotItsEnd(t *testing.T) {
	accused := 0
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 42))
		f := fading{years: 0.7 + 2*r.Float64(), charges: 12 + r.IntN(25), factor: 1.08, lost: 0.04 * r.Float64(), seasons: 0.12 * r.Float64()}
		list := f.restedFull(r)
		list[len(list)-1-r.IntN(4)].ChargeInAh *= analyze.Number(0.3 + 0.4*r.Float64())
		if v := condition.Of(agm, list, nil).Verdict; v.State != condition.NoSign {
			accused++
			t.Logf("seed %d: %+v", seed, v)
		}
	}
	assert.LessOrEqual(t, accused, 2)
}

// With all of a year's odd ones at the end it takes three of four to speak.
func TestItTakesThreeOfTheLastFour(t *testing.T) {
	for bad, called := range map[int]bool{1: false, 2: false, 3: true, 4: true} {
		list := fading{years: 2, charges: 24, factor: 1.08}.restedFull(rand.New(rand.NewPCG(7, 43)))
		for k := range bad {
			list[len(list)-1-k].ChargeInAh *= 0.6
		}
		v := condition.Of(agm, list, nil).Verdict
		assert.Equal(t, called, v.State == condition.NearReplacement, "%d bad ones: %s", bad, v.Text)
	}
}

// A resistance that doubles in the last few charges is told as well.
func TestAResistanceThatRisesAtTheEndIsTold(t *testing.T) {
	for late, want := range map[float64]condition.State{1: condition.NoSign, 2: condition.NearReplacement} {
		list := life{years: 2, charges: 24, scatter: 0.02}.sessions(rand.New(rand.NewPCG(5, 6)))
		for _, s := range list[len(list)-4:] {
			for k := range s.Resistance {
				s.Resistance[k].Ohm *= analyze.Number(late)
			}
		}
		assert.Equal(t, want, condition.Of(condition.Battery{Chemistry: analyze.LeadAGM, Cells: 6}, list, nil).Verdict.State, "times %g", late)
	}
}

// An interval in which a halving fits, a doubling and no change is none: neither text nor JSON has it.
func TestAnIntervalThatSaysNothingIsNotGiven(t *testing.T) {
	var list []analyze.Session
	r := rand.New(rand.NewPCG(9, 44))
	for k := range 12 {
		list = append(list, charged(firstDay.AddDate(0, k, 0), 3+30*r.Float64()))
	}
	c := condition.Of(agm, list, nil)
	one := trendOf(t, c, condition.AbsorbedCharge)
	assert.False(t, one.Enough)
	assert.Equal(t, "they scatter too much", one.Lack)
	assert.NotContains(t, one.Words, "anything from")
	for _, n := range []analyze.Number{one.First, one.Last, one.PerYear, one.PerYearLow, one.PerYearHigh, one.Change, one.ChangeLow, one.ChangeHigh} {
		assert.False(t, analyze.Known(n))
	}
}

// What has grown twentyfold has a line that begins below nothing: both ends of its interval stay numbers.
func TestNoEndOfAnIntervalIsMissing(t *testing.T) {
	var list []analyze.Session
	for k := range 12 {
		list = append(list, charged(firstDay.AddDate(0, k, 0), 2.0+10*float64(k)+3*float64(k%2)))
	}
	one := trendOf(t, condition.Of(agm, list, nil), condition.AbsorbedCharge)
	require.True(t, one.Enough)
	assert.Equal(t, analyze.Number(10), one.ChangeHigh)
	assert.Contains(t, one.Words, "to 1000 or more]")
}
