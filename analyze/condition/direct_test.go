package condition_test

import (
	"math/rand/v2"
	"testing"

	"amphora/analyze"
	"amphora/analyze/condition"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// coarsely is a life as rows far apart show it: what polarises within 20 s, half of what a new
// battery answers at once, lies over its resistance.
func coarsely(l life, r *rand.Rand) []analyze.Session {
	list := l.sessions(r)
	for k := range list {
		ohm := list[k].Resistance[1].Ohm + firstOhm/2
		list[k].Resistance, list[k].Rest = nil, nil
		list[k].DirectResistance = []analyze.DirectResistance{{AtS: 101, Ohm: ohm, OhmU95: ohm / 10, Seconds: 20}}
	}
	return list
}

func TestARiseIsSeenInRowsFarApart(t *testing.T) {
	near := 0
	for seed := range uint64(100) {
		r := rand.New(rand.NewPCG(seed, 31))
		c := condition.Of(agm, coarsely(life{years: 3, charges: 60, perYear: 0.3, scatter: 0.04, wild: 0.08}, r), nil)
		assert.NotEqual(t, condition.Replace, c.Verdict.State, "what polarises is in it")
		if c.Verdict.State == condition.NearReplacement {
			near++
		}
	}
	assert.Greater(t, near, 90)
}

func TestRowsFarApartNeitherAccuseNorClear(t *testing.T) {
	accused := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 32))
		l := life{years: 1 + 4*r.Float64(), charges: 10 + r.IntN(40), scatter: 0.02 + 0.06*r.Float64(), wild: 0.08, noDegree: seed%4 == 0}
		l.perYear = 0.05 * r.Float64() / l.years
		c := condition.Of(agm, coarsely(l, r), nil)
		assert.NotEqual(t, condition.NoSign, c.Verdict.State)
		if c.Verdict.State != condition.NotEnoughData {
			accused++
		}
	}
	assert.LessOrEqual(t, accused, 9)
}

// One that was read after a minute is not held against those read after 20 s.
func TestDirectResistancesOfOneTimeAreCompared(t *testing.T) {
	list := coarsely(life{years: 2, charges: 20}, rand.New(rand.NewPCG(1, 33)))
	for k := range 5 {
		list[k].DirectResistance[0].Seconds = 60
	}
	one := trendOf(t, condition.Of(agm, list, nil), condition.ResistanceDirect)
	assert.Equal(t, "resistance over the first 20 s of a charge", one.Name)
	assert.GreaterOrEqual(t, one.LeftOut, 5)
	for _, p := range one.Points {
		require.NotNil(t, p.Session)
	}
}

// What a battery answers at once goes before what has polarised as well.
func TestWhatItAnswersAtOnceGoesFirst(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 34))
	list := life{years: 3, charges: 40, scatter: 0.03}.sessions(r)
	for k := range list {
		list[k].DirectResistance = []analyze.DirectResistance{{AtS: 101, Ohm: analyze.Number(0.03 * (1 + 0.02*float64(k))), OhmU95: 0.003, Seconds: 20}}
	}
	assert.Equal(t, condition.NoSign, condition.Of(agm, list, nil).Verdict.State)
}
