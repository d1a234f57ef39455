package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// The made-up nights are known to the last ampere-second, so what the analysis says
// of them is held against what truly happened. What is on the battery's label is
// told, as a household would.

func TestNightsOfTheHouseholdAreSeenAsTheyWere(t *testing.T) {
	for _, n := range madeup.Nights() {
		t.Run(n.Name, func(t *testing.T) {
			t.Parallel()
			seenAsItWas(t, n)
		})
	}
}

func TestRandomNightsAreSeenAsTheyWere(t *testing.T) {
	for seed := range uint64(60) {
		n := madeup.Random(seed)
		t.Run(n.Name, func(t *testing.T) {
			t.Parallel()
			seenAsItWas(t, n)
		})
	}
}

func seenAsItWas(t *testing.T, n madeup.Night) {
	rows, truth := n.Collect()
	d := run(known(n), rows)
	require.Len(t, d.Sessions, len(truth.Charges), "charges in the log")
	for k := range d.Sessions {
		s, was := &d.Sessions[k], &truth.Charges[k]
		assert.Equal(t, was.Outcome, s.Outcome)
		assert.Equal(t, was.EndedBy, s.EndedBy)
		assert.InDelta(t, float64(was.InAh), float64(s.ChargeInAh), max(0.002*float64(was.InAh), float64(s.ChargeInAhU95)),
			"Ah in, within 0.2 % or what the meter allows")
		currentEndsWhereItDid(t, n, s, was)
		if truth.Good {
			assert.Empty(t, warnings(d), "a good night has no warning and no alarm")
		}
	}
}

// currentEndsWhereItDid: between the first touch of the voltage limit and its lasting
// hold, give or take what the meter can show.
func currentEndsWhereItDid(t *testing.T, n madeup.Night, s *analyze.Session, was *madeup.ChargeTruth) {
	held := stageOf(s, analyze.ConstantVoltage)
	if math.IsNaN(float64(was.HoldS)) {
		assert.Nil(t, held, "the voltage limit never ruled")
		return
	}
	require.NotNil(t, held, "a constant-voltage stage")
	grace := 45.0
	switch {
	case n.Meter.StepVolts > 0.02 || n.Meter.StepAmps > 0.05:
		grace = 15 * 60
	case n.Meter.Every >= 60:
		grace = 150
	}
	at := float64(held.StartS)
	assert.GreaterOrEqual(t, at, math.Min(float64(was.ReachS), float64(was.LimitS))-grace)
	assert.LessOrEqual(t, at, float64(was.HoldS)+grace)
}

// Nobody tells what is on the label: the charge is the same, since it does not rest on
// it, and the chemistry is read off the curve where it is not silent about it.
func TestNightsWithoutALabel(t *testing.T) {
	for _, n := range madeup.Nights() {
		t.Run(n.Name, func(t *testing.T) {
			rows, truth := n.Collect()
			d := run(analyze.Options{}, rows)
			require.Len(t, d.Sessions, len(truth.Charges))
			for k := range d.Sessions {
				s, was := &d.Sessions[k], &truth.Charges[k]
				assert.InDelta(t, float64(was.InAh), float64(s.ChargeInAh), max(0.002*float64(was.InAh), float64(s.ChargeInAhU95)))
				assert.Equal(t, was.Outcome, s.Outcome)
				if s.Chemistry == "" {
					continue
				}
				assert.True(t, s.ChemistryInferred)
				assert.EqualValues(t, truth.Cells, s.Cells)
				assert.Equal(t, family(truth.Chemistry), family(s.Chemistry), "%s taken for %s", truth.Chemistry, s.Chemistry)
			}
		})
	}
}

// family leaves out what no curve tells: which kind of lead, which kind of nickel.
func family(c analyze.Chemistry) string {
	switch {
	case c.Lead():
		return "lead"
	case c.Nickel():
		return "nickel"
	}
	return string(c)
}

// A good night has no warning and no alarm, not for a moment, whether the battery is
// known or not.
func TestGoodNightsAreQuiet(t *testing.T) {
	nights := madeup.Nights()
	for seed := range uint64(60) {
		nights = append(nights, madeup.Random(seed+1))
	}
	for _, n := range nights {
		if !n.Good {
			continue
		}
		t.Run(n.Name, func(t *testing.T) {
			t.Parallel()
			rows, _ := n.Collect()
			for _, o := range []analyze.Options{{}, known(n)} {
				w := watching{t: t, m: analyze.New(o)}
				w.live(rows, func(analyze.Sample) {})
				assert.Empty(t, warnings(w.m.Document()))
				for code := range w.told {
					assert.Equal(t, analyze.Note, w.worst[code], code)
				}
			}
		})
	}
}
