package condition_test

import (
	"math/rand/v2"
	"testing"

	"amphora/analyze"
	"amphora/analyze/condition"

	"github.com/stretchr/testify/assert"
)

// powerCell is a published rest voltage of one cell of a power tool: state of charge, V. It has three
// to four tenths where a cell with cobalt has one.
var powerCell = analyze.Table{{0, 2.506}, {0.0151, 2.898}, {0.0452, 3.146}, {0.0955, 3.323}, {0.1508, 3.422},
	{0.2915, 3.574}, {0.4573, 3.702}, {0.8342, 4.064}, {0.9497, 4.101}, {1, 4.193}}

// powerPack is a pack of five such cells, 4 Ah, that loses a share of its capacity over two years.
// It is emptied to a depth that is its owner's habit, and may grow.
func powerPack(r *rand.Rand, lost float64) (list []analyze.Session) {
	depth, more := 0.45+0.35*r.Float64(), 0.15*r.Float64()
	for k := range 24 {
		state := 1 - depth - more*float64(k)/23 + 0.05*(2*r.Float64()-1)
		s := charged(firstDay.AddDate(0, k, 0), 4*0.97*(1-lost*float64(k)/23)*(1-state)*(1+0.01*r.NormFloat64()))
		s.RestBefore = &analyze.RestFit{SettledV: analyze.Number(5 * powerCell.At(state)), SettledVU95: 0.03}
		list = append(list, s)
	}
	return list
}

// A label says li-ion, and not what is inside: packs in order are not told to be replaced because
// they stand lower than others that are as full.
func TestPacksOfAnotherKindOfCellAreNotAccused(t *testing.T) {
	b := condition.Battery{Chemistry: analyze.LiIon, Cells: 5, Rated: 4 * 3600}
	accused, called, told, inside := 0, 0, 0, 0
	for seed := range uint64(200) {
		c := condition.Of(b, powerPack(rand.New(rand.NewPCG(seed, 31)), 0), nil)
		if c.Verdict.State != condition.NoSign && c.Verdict.State != condition.NotEnoughData {
			accused++
		}
		if k := c.Capacity; k != nil && analyze.Known(k.Ah) {
			told++
			if k.LowAh <= 4*0.97 && 4*0.97 <= k.HighAh {
				inside++
			}
		}
		switch condition.Of(b, powerPack(rand.New(rand.NewPCG(seed, 32)), 0.5), nil).Verdict.State {
		case condition.Ageing, condition.NearReplacement, condition.Replace:
			called++
		}
	}
	t.Logf("accused %d, capacity inside %d of %d, half lost and called %d", accused, inside, told, called)
	assert.Zero(t, accused)
	assert.Greater(t, told, 50)
	assert.Equal(t, told, inside)
	assert.Greater(t, called, 180)
}

// What leaves open more than a rest may is no known state of charge, though it goes on to tell a change.
func TestAVoltageThatKindsOfCellsDifferAtTellsNoCapacity(t *testing.T) {
	b := condition.Battery{Chemistry: analyze.LiIon, Cells: 5, Rated: 4 * 3600}
	var list []analyze.Session
	for k := range 10 {
		s := charged(firstDay.AddDate(0, k, 0), 4*0.63)
		s.RestBefore = &analyze.RestFit{SettledV: 5 * 3.64, SettledVU95: 0.01}
		list = append(list, s)
	}
	c := condition.Of(b, list, nil)
	assert.Nil(t, c.Capacity)
	assert.True(t, trendOf(t, c, condition.CapacityByCharge).Enough)
}
