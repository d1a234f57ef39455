package daemon

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The wall clock of the host is set, by a second or by decades, forth and back, and the
// host sleeps for a minute to eight hours while the charger goes on. What is set
// changes nothing; sleep costs what flowed meanwhile, and that is said. Once the clock
// is right the dates are. Rows are five seconds apart; so that none decides by itself,
// the charger starts softly.
func TestRandomClocksInventNoCharge(t *testing.T) {
	schedules := 20
	if long {
		schedules = 1000
	}
	n := madeup.Named("mower-float")
	n.Charger.SoftStart = 600
	all := rows(n, 5)
	end := all[len(all)-1].at
	for k := range schedules {
		rng := rand.New(rand.NewPCG(uint64(k), 10))
		slept := randomSpans(rng, end-8*3600, rng.IntN(4), 8*3600)
		for k := range slept {
			slept[k].to = max(slept[k].to, slept[k].from+60)
		}
		kept := slices.DeleteFunc(slices.Clone(all), func(r row) bool {
			return slices.ContainsFunc(slept, func(s span) bool { return r.at >= s.from && r.at < s.to })
		})
		quiet := said(kept)
		_, want := perform(t, plainLines, quiet)

		start, set := time.Unix(0, 0).UTC(), clockSteps(rng, len(quiet))
		clock := testhelp.NewClock(start)
		script := slices.Clone(quiet)
		for at, by := range set {
			script[at].do = func(c *testhelp.Clock) {
				if !capture.ClockSet(c.Wall().Add(by)) { // a wrong date that looks right would be believed
					c.Step(by)
				}
			}
		}
		script[len(script)-100].do = func(c *testhelp.Clock) { // the network sets it at last
			c.Step(evening.Add(seconds(kept[len(script)-101].at)).Sub(c.Wall()))
		}
		_, got := performAt(t, clock, plainLines, script)

		require.Len(t, got, len(want), "schedule %d", k)
		for k := range want {
			assert.Equal(t, want[k].ChargeInAh, got[k].ChargeInAh)
			assert.Equal(t, want[k].ChargeOutAh, got[k].ChargeOutAh)
			assert.Equal(t, want[k].Gaps, got[k].Gaps)
			assert.Equal(t, want[k].StartS, got[k].StartS)
			assert.Equal(t, want[k].EndS, got[k].EndS)
			for _, stage := range got[k].Stages {
				assert.LessOrEqual(t, stage.StartS, stage.EndS, "no time runs backwards")
			}
		}
		in, unseen := charge(got)
		assert.InEpsilon(t, integral(kept), in, 1e-4, "schedule %d", k)
		asleep := 0.0
		for _, s := range slept {
			asleep += s.to - s.from
		}
		assert.InDelta(t, asleep, unseen, 10*float64(len(slept)), "schedule %d", k)
		newest := got[len(got)-1]
		require.NotNil(t, newest.Started)
		assert.WithinDuration(t, evening.Add(seconds(float64(newest.StartS))), *newest.Started, 2*time.Second, "schedule %d", k)
	}
}

// clockSteps are some settings of a clock, by a second to 57 years either way, and
// the places in a script where they happen.
func clockSteps(rng *rand.Rand, places int) map[int]time.Duration {
	steps := map[int]time.Duration{}
	for range 1 + rng.IntN(8) {
		by := time.Second << rng.IntN(31)
		if rng.IntN(2) == 0 {
			by = -by
		}
		steps[1+rng.IntN(places-1)] = by
	}
	return steps
}
