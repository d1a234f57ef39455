package condition_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/condition"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fading is a made-up AGM battery that is used to any depth, and charged until it is full.
type fading struct {
	years, lost float64 // share of its capacity, at the end
	charges     int
	offset      float64 // V, by which its rest voltage differs from the table
	factor      float64 // charge factor
	from        float64 // share of the years after which it begins to lose
	seasons     float64 // share that it gives less in midwinter, and more in midsummer
}

func (f fading) sessions(r *rand.Rand) []analyze.Session {
	var list []analyze.Session
	for k := range f.charges {
		at := f.years * (float64(k) + 0.8*r.Float64()) / float64(f.charges)
		holds := 35 * (1 - f.lost*max(0, at/f.years-f.from)/(1-f.from)) * (1 - f.seasons*math.Cos(2*math.Pi*at))
		depth := 0.3 + 0.6*r.Float64()
		// The upper half of the table is straight, so is the lower.
		volts := 12.8 - depth
		if depth < 0.5 {
			volts = 12.8 - 0.5*depth/0.5
		}
		s := charged(firstDay.Add(time.Duration(at*float64(year))), f.factor*depth*holds*(1+0.02*r.NormFloat64()))
		s.ID = fmt.Sprint(k)
		s.RestBefore = &analyze.RestFit{DurationS: 1800, LastV: analyze.Number(volts + f.offset), StateOfCharge: 0.5,
			SettledV: analyze.Number(volts + f.offset + 0.01*r.NormFloat64()), SettledVU95: 0.03}
		list = append(list, s)
	}
	return list
}

func TestFadeIsSeenAtAnyDepth(t *testing.T) {
	inside, called := 0, 0
	for seed := range uint64(100) {
		f := fading{years: 3, lost: 0.4, charges: 24, factor: 1.08}
		c := condition.Of(agm, f.sessions(rand.New(rand.NewPCG(seed, 21))), nil)
		one := trendOf(t, c, condition.CapacityByCharge)
		require.True(t, one.Enough)
		if one.ChangeLow <= -0.4 && -0.4 <= one.ChangeHigh {
			inside++
		}
		if c.Verdict.State == condition.Replace || c.Verdict.State == condition.NearReplacement {
			called++
		}
	}
	t.Logf("inside %d, called %d", inside, called)
	assert.GreaterOrEqual(t, inside, 90)
	assert.GreaterOrEqual(t, called, 95)
}

// Whatever its make's rest voltage and its charger's factor, one that holds what it held is not
// accused; nor is it cleared, for the voltage tells of its acid alone.
func TestWhatHoldsItsCapacityIsNotAccused(t *testing.T) {
	accused := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 22))
		f := fading{years: 1 + 3*r.Float64(), lost: 0.04 * r.Float64(), charges: 8 + r.IntN(30), offset: -0.10 + 0.15*r.Float64(), factor: 1.02 + 0.10*r.Float64()}
		c := condition.Of(agm, f.sessions(r), nil)
		assert.NotEqual(t, condition.NoSign, c.Verdict.State)
		if c.Verdict.State != condition.NotEnoughData {
			accused++
			t.Logf("seed %d: %+v", seed, c.Verdict)
		}
	}
	assert.LessOrEqual(t, accused, 3)
}

func TestLithiumMayBeClearedByItsCapacity(t *testing.T) {
	b := condition.Battery{Chemistry: analyze.LiIon, Cells: 4, Rated: 5 * 3600}
	for lost, want := range map[float64]condition.State{0.02: condition.NoSign, 0.5: condition.Replace} {
		var list []analyze.Session
		r := rand.New(rand.NewPCG(5, 23))
		for k := range 20 {
			cell, state := 3.60+0.05*float64(k%3), [3]float64{0.081, 0.093, 0.133}[k%3] // as the table has it
			s := charged(firstDay.AddDate(0, k, 0), 5*(1-lost*float64(k)/19)*(1-state)*(1+0.01*r.NormFloat64()))
			s.RestBefore = &analyze.RestFit{SettledV: analyze.Number(4 * cell), SettledVU95: 0.04, StateOfCharge: analyze.Number(state)}
			list = append(list, s)
		}
		assert.Equal(t, want, condition.Of(b, list, nil).Verdict.State, "%g", lost)
	}
}

// A week on float puts in more than the charge did, and says nothing of the battery.
func TestWhatHeldItFullDoesNotCount(t *testing.T) {
	s := charged(firstDay, 20)
	s.Stages = []analyze.Stage{{Stage: analyze.ConstantCurrent, ChargeAh: 9}, {Stage: analyze.ConstantVoltage, ChargeAh: 3}, {Stage: analyze.Finish, ChargeAh: 8}}
	c := condition.Of(agm, []analyze.Session{s}, nil)
	assert.InDelta(t, 12, float64(trendOf(t, c, condition.AbsorbedCharge).Points[0].Value), 1e-9)
	assert.InDelta(t, 12/1.10/35, float64(c.Depths[0].Depth), 1e-9)
}

// No sign of ageing is said of what was followed, and of what was not it is said that it was not.
func TestNoSignSaysWhatWasNotFollowed(t *testing.T) {
	label := condition.Battery{Chemistry: analyze.LeadAGM, Cells: 6}
	s := life{years: 2, charges: 24, scatter: 0.02}.sessions(rand.New(rand.NewPCG(5, 6)))
	v := condition.Of(label, s, nil).Verdict
	assert.Equal(t, condition.NoSign, v.State)
	assert.Equal(t, "No sign of ageing in what was recorded. Its capacity could not be followed.", v.Text)

	for k := range s {
		s[k].Resistance = nil
	}
	v = condition.Of(label, s, nil).Verdict
	assert.Equal(t, condition.NoSign, v.State)
	assert.Equal(t, "No sign of ageing in what was recorded. Neither its resistance nor its capacity could be followed.", v.Text)

	for k, f := range (fading{years: 2, charges: 24, factor: 1.1}).sessions(rand.New(rand.NewPCG(5, 7))) {
		s[k].RestBefore, s[k].ChargeInAh, s[k].Started = f.RestBefore, f.ChargeInAh, f.Started
	}
	v = condition.Of(label, s, nil).Verdict
	assert.Equal(t, condition.NoSign, v.State)
	assert.Equal(t, "No sign of ageing in what was recorded. Its resistance could not be followed.", v.Text)
}

// Where many charges tell nothing for sure, it is said what would.
func TestWhatWouldTellMore(t *testing.T) {
	label := condition.Battery{Chemistry: analyze.LeadAGM, Cells: 6}
	s := life{years: 2, charges: 24, scatter: 0.02}.sessions(rand.New(rand.NewPCG(5, 6)))
	for k := range s {
		s[k].Resistance, s[k].Rest = nil, nil
	}
	v := condition.Of(label, s, nil).Verdict
	assert.Equal(t, condition.NotEnoughData, v.State)
	assert.Equal(t, "Nothing is sure enough to say how this battery is. Neither its resistance nor its capacity could be followed. "+
		"The resistance shows in rows a second or two apart, or in readings that you note by hand. "+
		"For the capacity, let the meter run a quarter of an hour before the charger is switched on.", v.Text)

	var byHand []condition.Reading
	for k := range 8 {
		byHand = append(byHand, condition.Reading{At: firstDay.AddDate(0, k, 0), Ohm: 0.02 * (1 + 0.3*float64(k%2))})
	}
	v = condition.Of(label, s, byHand).Verdict
	assert.Equal(t, condition.NotEnoughData, v.State)
	assert.Equal(t, "Nothing is sure enough to say how this battery is. Its capacity could not be followed. "+
		"For the capacity, let the meter run a quarter of an hour before the charger is switched on.", v.Text)

	few := "Not enough data to say how this battery is: it takes at least six like observations over two months."
	assert.Equal(t, few, condition.Of(label, s[:5], nil).Verdict.Text)
	for k := range s {
		s[k].Started = new(firstDay.AddDate(0, 0, k))
	}
	assert.Equal(t, few, condition.Of(label, s, nil).Verdict.Text, "all within a month")
}

// A voltage before the charge that leaves everything open makes no capacity.
func TestAVagueVoltageBeforeTellsNoCapacity(t *testing.T) {
	list := fading{years: 2, charges: 12, factor: 1.1}.sessions(rand.New(rand.NewPCG(8, 8)))
	for k := range list {
		list[k].RestBefore.SettledVU95 = 0.3
	}
	c := condition.Of(agm, list, nil)
	assert.Nil(t, c.Capacity)
	for _, one := range c.Trends {
		assert.NotEqual(t, condition.CapacityByCharge, one.Quantity)
	}
}

// A battery of which a tenth is sulphated in the end, and that is used little, takes a third less
// from the same voltage: but only a tenth is lost, for when it is full it stands lower as well.
func TestSulphateIsNotTakenForMore(t *testing.T) {
	inside := 0
	for seed := range uint64(100) {
		r := rand.New(rand.NewPCG(seed, 24))
		var list []analyze.Session
		for k := range 24 {
			lost, depth := 0.1*float64(k)/23, 0.30+0.1*r.Float64()
			volts := func(state float64) analyze.Number { return analyze.Number(11.89 + 0.77*state + 0.005*r.NormFloat64()) } // nearly the flooded table
			s := charged(firstDay.AddDate(0, 2*k, 0), 35*depth*1.15*(1+0.02*r.NormFloat64()))
			s.RestBefore = &analyze.RestFit{SettledV: volts(1 - lost - depth), SettledVU95: 0.03, StateOfCharge: 0.5}
			s.Rest = &analyze.RestFit{SettledV: volts(1 - lost), SettledVU95: 0.05, StateOfCharge: 1}
			list = append(list, s)
		}
		b := condition.Battery{Chemistry: analyze.LeadFlooded, Cells: 6, Rated: 35 * 3600}
		c := condition.Of(b, list, nil)
		one := trendOf(t, c, condition.CapacityByCharge)
		if one.ChangeLow <= -0.1 && -0.1 <= one.ChangeHigh {
			inside++
		}
		assert.NotContains(t, []condition.State{condition.NearReplacement, condition.Replace}, c.Verdict.State)
	}
	assert.GreaterOrEqual(t, inside, 90)
}

// Where no rest told how it stands when full, only deep charges count.
func TestShallowChargesNeedARestWhenFull(t *testing.T) {
	list := fading{years: 2, charges: 20, factor: 1.1}.sessions(rand.New(rand.NewPCG(8, 9)))
	one := trendOf(t, condition.Of(agm, list, nil), condition.CapacityByCharge)
	alone := len(one.Points)
	for k := range list {
		list[k].Rest = &analyze.RestFit{SettledV: 12.85, SettledVU95: 0.05}
	}
	assert.Greater(t, len(trendOf(t, condition.Of(agm, list, nil), condition.CapacityByCharge).Points), alone)
}
