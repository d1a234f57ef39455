package condition_test

import (
	"fmt"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/condition"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// charged is a complete charge of so many Ah.
func charged(began time.Time, ah float64) analyze.Session {
	return analyze.Session{
		ID: fmt.Sprint(began.Unix()), Started: &began, StartS: 0, EndS: 36000, FinishS: 36000, Outcome: analyze.Complete,
		ChargeInAh: analyze.Number(ah), ChargeInAhU95: 0.1, MaxCelsius: 20, HeldV: 14.5, TailA: 0.3,
	}
}

// 12 Ah into a 35 Ah battery is about a third.
func TestDepthSaysItsFactorAndItsRate(t *testing.T) {
	c := condition.Of(agm, []analyze.Session{charged(firstDay, 12)}, nil)
	require.Len(t, c.Depths, 1)
	d := c.Depths[0]
	assert.InDelta(t, 1./3, float64(d.Depth), 0.03)
	// E1: 1.04 to 1.12 times what was taken out.
	assert.InDelta(t, (12-0.1)/1.12/35, float64(d.Low), 1e-9)
	assert.InDelta(t, (12+0.1)/1.04/35, float64(d.High), 1e-9)
	assert.Equal(t, "12 Ah in, over a charge factor of 1.10, are 10.9 Ah or 31 % (30 to 33) of the rated 35 Ah (over 20 h)", d.Words)

	b := agm
	b.RatedHours = 0
	assert.Contains(t, condition.Of(b, []analyze.Session{charged(firstDay, 12)}, nil).Depths[0].Words, "over an unknown time")
	b.Rated = 0
	assert.Empty(t, condition.Of(b, []analyze.Session{charged(firstDay, 12)}, nil).Depths)
	part := charged(firstDay, 12)
	part.Outcome = analyze.CutShort
	assert.Empty(t, condition.Of(agm, []analyze.Session{part}, nil).Depths, "who was not filled does not tell how empty he was")
}

// Before each charge somebody reads 12.30 V: half full (AGM table, reference,
// section 3, O1). What goes in tells how large the other half is.
func halves(inAh ...float64) (charges []analyze.Session, readings []condition.Reading) {
	for k, ah := range inAh {
		began := firstDay.AddDate(0, k, 0)
		readings = append(readings, condition.Reading{At: began.Add(-2 * time.Hour), Ohm: analyze.Unknown(), Volts: 12.30, Gravity: analyze.Unknown(), Celsius: 26.7})
		charges = append(charges, charged(began, ah))
	}
	return charges, readings
}

func TestCapacityFromPartialCharges(t *testing.T) {
	charges, readings := halves(19.2, 19.3, 19.1, 19.4, 25, 19.25, 19.2)
	c := condition.Of(agm, charges, readings).Capacity
	require.NotNil(t, c)
	assert.InDelta(t, 19.25/1.10/0.5, float64(c.Ah), 0.2)
	assert.InDelta(t, 1.0, float64(c.OfRated), 0.01)
	assert.Less(t, float64(c.LowAh), 33.0, "the table and the factor are not that sure")
	assert.Greater(t, float64(c.HighAh), 37.0)
	assert.Contains(t, c.Words, "charge factor of 1.10 (1 to 1.12)")
	assert.Contains(t, c.Words, "over 20 h")
}

func TestCapacityLostIsSeen(t *testing.T) {
	charges, readings := halves(8, 8.1, 8.2, 8, 7.9, 8.1)
	got := condition.Of(agm, charges, readings)
	assert.Equal(t, condition.Replace, got.Verdict.State, "%+v", got.Verdict)
	charges, readings = halves(12, 12.1, 12.2, 12, 11.9, 12.1)
	got = condition.Of(agm, charges, readings)
	assert.Equal(t, condition.NearReplacement, got.Verdict.State, "%+v", got.Verdict)
}

func TestCapacityNeedsSeveralCharges(t *testing.T) {
	charges, readings := halves(19, 19)
	c := condition.Of(agm, charges, readings).Capacity
	require.NotNil(t, c)
	assert.False(t, analyze.Known(c.Ah))
	assert.Contains(t, c.Words, "not enough data")

	readings[0].Volts, readings[1].Volts = 13.4, 13.4 // not settled: no state of charge
	assert.Nil(t, condition.Of(agm, charges, readings).Capacity)
	charges, readings = halves(19, 19, 19)
	for k := range readings {
		readings[k].At = readings[k].At.AddDate(0, 0, -5) // who knows what was used since
	}
	assert.Nil(t, condition.Of(agm, charges, readings).Capacity)
}

// A charge that was cut short, its rest, and the charge that went on from there.
func TestCapacityFromARestBetweenTwoCharges(t *testing.T) {
	var charges []analyze.Session
	for k := range 4 {
		began := firstDay.AddDate(0, k, 0)
		first := charged(began, 6)
		first.Outcome = analyze.CutShort
		first.Rest = &analyze.RestFit{DurationS: 8 * 3600, SettledV: 12.3, StateOfCharge: 0.5}
		charges = append(charges, first, charged(began.Add(18*time.Hour), 19.25))
	}
	c := condition.Of(agm, charges, nil).Capacity
	require.NotNil(t, c)
	assert.Len(t, c.Partials, 4)
	assert.InDelta(t, 35, float64(c.Ah), 0.1)
	for k := range charges {
		if charges[k].Rest != nil {
			charges[k].Rest.DurationS = 3600 // and then nobody watched
		}
	}
	assert.Nil(t, condition.Of(agm, charges, nil).Capacity)
}

func TestChargeFactorIsMeasuredWhereTheLogSawBoth(t *testing.T) {
	var charges []analyze.Session
	for k := range 8 {
		s := charged(firstDay.AddDate(0, k, 0), 11)
		s.ChargeOutAh = 10
		charges = append(charges, s)
	}
	one := trendOf(t, condition.Of(agm, charges, nil), condition.MeasuredFactor)
	require.Len(t, one.Points, 7, "before the first nobody knows how full it was")
	assert.InDelta(t, 1.1, float64(one.First), 1e-9)
}
