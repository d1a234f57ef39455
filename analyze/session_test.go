package analyze_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// The date of a session is that of its first current, and its name is made of it: the
// same rows have the same name whenever they are analysed.
func TestSessionsAreNamedByChannelAndDate(t *testing.T) {
	evening := time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
	rows := script(10, before, current, voltage, after)
	s := run(analyze.Options{}, rows).Sessions[0]
	assert.Nil(t, s.Started, "a log without a date has none")
	assert.Equal(t, "log-600s", s.ID)

	s = run(analyze.Options{Channel: "bench", Battery: "mower"}, stamped(rows, evening, 0, 0)).Sessions[0]
	require.NotNil(t, s.Started)
	assert.Equal(t, evening.Add(10*time.Minute), *s.Started)
	assert.Equal(t, "bench-20260314T215000Z", s.ID)
	assert.Equal(t, "bench", s.Channel)
	assert.EqualValues(t, "mower", s.Battery)
}

// A log that learns the date only later still dates its beginning.
func TestDateIsCountedBackToTheFirstRow(t *testing.T) {
	evening := time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
	rows := stamped(script(10, before, current), evening, 0, 0)
	for k := range 200 {
		rows[k].Wall = 0
	}
	s := run(analyze.Options{}, rows).Sessions[0]
	require.NotNil(t, s.Started)
	assert.Equal(t, evening.Add(10*time.Minute), *s.Started)
}

// 19.9 Ah into a battery of 20 Ah.
func TestChargeIsSetAgainstTheCapacity(t *testing.T) {
	rows := script(10, before, current, voltage, after)
	s := run(analyze.Options{Capacity: 20 * 3600, Chemistry: analyze.LeadAGM}, rows).Sessions[0]
	require.NotNil(t, s.Capacity)
	assert.Equal(t, 20.0, float64(s.Capacity.RatedAh))
	assert.InDelta(t, lead17Ah/20, float64(s.Capacity.AbsorbedFraction), 1e-3)
	assert.Nil(t, run(analyze.Options{}, rows).Sessions[0].Capacity, "of no capacity nothing is said")
}

// Less than 0.2 % of the capacity is nothing to speak of: 2 min x 0.1 A of 35 Ah.
func TestNextToNothingIsNoCharge(t *testing.T) {
	rows := script(1, idle(600, 12.6), steady(180, 13.0, 0.1), idle(3*anHour, 12.7))
	s := run(analyze.Options{Capacity: 35 * 3600}, rows).Sessions
	require.Len(t, s, 1)
	assert.Equal(t, analyze.NoCharge, s[0].Outcome)
	assert.InDelta(t, 0.1*180/3600, float64(s[0].ChargeInAh), 1e-4, "what flowed is told all the same")
	assert.Empty(t, s[0].Stages)
	assert.InDelta(t, 13.0, float64(s[0].PeakV), 1e-9)
	assert.False(t, analyze.Known(s[0].SetA))
}

// The parts of a charge's uncertainty add up in squares to what is stated, k = 2.
func TestUncertaintyGrowsWithTheMetersError(t *testing.T) {
	rows := script(10, before, current, voltage, after)
	fine := run(analyze.Options{Current: analyze.Accuracy{Fraction: 0.001}}, rows).Sessions[0]
	poor := run(analyze.Options{Current: analyze.Accuracy{Fraction: 0.02}}, rows).Sessions[0]
	// 2 x 2 % / sqrt 3 of the charge, the sampling beside it being nothing.
	assert.InEpsilon(t, 2*0.02/1.7320508*lead17Ah, float64(poor.ChargeInAhU95), 0.01)
	assert.Less(t, float64(fine.ChargeInAhU95), float64(poor.ChargeInAhU95)/10)
	assert.Equal(t, fine.ChargeInAh, poor.ChargeInAh)
	for _, s := range []analyze.Session{fine, poor} {
		b := s.ChargeInAhBudget
		require.NotNil(t, b)
		assert.InEpsilon(t, float64(s.ChargeInAhU95*s.ChargeInAhU95), 4*float64(b.Gain*b.Gain+b.Zero*b.Zero+b.Sampling*b.Sampling), 1e-9)
	}
}

func TestTheHottestIsOfTheChargeAndKnownOnlyIfMeasured(t *testing.T) {
	rows := script(10, before, current, voltage, after)
	assert.False(t, analyze.Known(run(analyze.Options{}, rows).Sessions[0].MaxCelsius))
	for k := range rows {
		rows[k].Celsius = 20
	}
	rows[30].Celsius = 41 // before the charge: the sun
	rows[900].Celsius = 33
	assert.Equal(t, 33.0, float64(run(analyze.Options{}, rows).Sessions[0].MaxCelsius))
}

// Rows are a minute apart, and the current ceases somewhere between two of them: what may
// have flowed there is the charge's that ceased, not the next one's.
func TestWhatFlowedBeforeTheCurrentCeasedIsOfThatCharge(t *testing.T) {
	const hours, amps, gap = 3, 10, 60.
	rows := script(gap, idle(anHour, 12.4), steady(hours*anHour, 13.2, amps), idle(5*anHour, 12.8),
		steady(hours*anHour, 13.2, amps/4.), idle(5*anHour, 12.8))
	sessions := run(analyze.Options{}, rows).Sessions
	require.Len(t, sessions, 2)
	assert.InDelta(t, hours*amps, float64(sessions[0].ChargeInAh), 1e-9)
	assert.InDelta(t, hours*amps/4., float64(sessions[1].ChargeInAh), 1e-9)
}

// What is unknown of a battery is null, as every other thing that is.
func TestAnUnknownBatteryIsNull(t *testing.T) {
	m := analyze.New(analyze.Options{Channel: "bench"})
	m.Step(analyze.Sample{At: 0, Volts: 12.6, Amps: 0, Celsius: analyze.Unknown(), Counter: analyze.Unknown()})
	text, err := json.Marshal(m.Document().Sessions[0])
	require.NoError(t, err)
	var told map[string]any
	require.NoError(t, json.Unmarshal(text, &told))
	for _, key := range []string{"battery", "chemistry", "cells", "started", "capacity"} {
		value, there := told[key]
		assert.True(t, there, key)
		assert.Nil(t, value, key)
	}
	var back analyze.Session
	require.NoError(t, json.Unmarshal(text, &back))
	assert.Zero(t, back.Battery)
	assert.Zero(t, back.Chemistry)
	assert.Zero(t, back.Cells)
}

// The stages together have what went in, although a current that begins and ends between two
// rows a minute apart flowed before the first and after the last that show it.
func TestStagesAddUpToWhatWentIn(t *testing.T) {
	for seed := range uint64(30) {
		n := madeup.Random(seed)
		n.Meter.Every, n.Meter.OnStep = 60, 0
		rows, _ := n.Collect()
		for _, s := range run(known(n), rows).Sessions {
			in, energy := 0.0, 0.0
			for _, stage := range s.Stages {
				in, energy = in+float64(stage.ChargeAh), energy+float64(stage.EnergyWh)
			}
			assert.InEpsilon(t, float64(s.ChargeInAh), in, 0.002, n.Name)
			assert.InEpsilon(t, float64(s.EnergyInWh), energy, 0.002, n.Name)
			assert.InEpsilon(t, float64(s.ChargeInAh)/n.Battery.CapacityAh, float64(s.Capacity.AbsorbedFraction), 0.002, n.Name)
		}
	}
}

// A lead comes off for an hour in mid-charge, and the charger's own voltage stands on it. What was
// put back is another charge; the alarm ends with it, and that voltage was not the battery's.
func TestALeadThatWasOffForAnHourIsPutBack(t *testing.T) {
	d := run(analyze.Options{}, script(10, idle(600, 12.2), ramp(anHour, 12.6, 13.0, 3, 3), idle(anHour, 16),
		ramp(4*anHour, 13.0, 14.4, 3, 3), fade(anHour, 14.4, 3, anHour/2), settle(2*anHour, 13.4, 12.9, anHour)))
	require.Len(t, d.Sessions, 2)
	off, on := d.Sessions[0].Findings, &d.Sessions[1]
	require.Len(t, off, 1)
	assert.Equal(t, analyze.CodeOpenCircuit, off[0].Code)
	assert.InDelta(t, 600+2*anHour, float64(off[0].EndS), 10)
	assert.Empty(t, on.Findings)
	assert.Nil(t, on.RestBefore)
	assert.NotEqual(t, analyze.Faulted, on.Outcome)
}
