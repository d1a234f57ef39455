package madeup_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// trouble is a night of the household by its name, what its meter showed, and what truly
// happened.
func trouble(t *testing.T, name string) (madeup.Night, []analyze.Sample, madeup.ChargeTruth) {
	t.Helper()
	n := madeup.Named(name)
	rows, truth := n.Collect()
	require.Len(t, truth.Charges, 1)
	return n, rows, truth.Charges[0]
}

func unknown(n analyze.Number) bool { return math.IsNaN(float64(n)) }

func TestShortedCellNeverReachesTheLimit(t *testing.T) {
	n, rows, c := trouble(t, "shorted-cell")
	assert.True(t, unknown(c.LimitS))
	assert.Greater(t, float64(c.InAh), n.Battery.CapacityAh)
	assert.InDelta(t, 12.08*5/6, rows[0].Volts, 0.1)
}

func TestSulphatedReachesItAtOnce(t *testing.T) {
	n, _, c := trouble(t, "sulphated")
	assert.Less(t, float64(c.LimitS-c.StartS), 60.)
	assert.Less(t, float64(c.InAh), 0.3*n.Battery.CapacityAh)
}

func TestReversedLeads(t *testing.T) {
	_, rows, c := trouble(t, "reversed-leads")
	for _, r := range rows {
		require.Less(t, r.Volts, -11.)
		require.InDelta(t, 0, r.Amps, 0.02)
	}
	assert.Equal(t, analyze.Faulted, c.Outcome)
	assert.True(t, unknown(c.StartS))
}

func TestOpenLeadWanders(t *testing.T) {
	n, rows, c := trouble(t, "open-lead")
	assert.Equal(t, analyze.Faulted, c.Outcome)
	assert.Equal(t, analyze.EndCurrentStopped, c.EndedBy)
	assert.InDelta(t, n.Faults.OpenLeadAt, float64(c.EndS), 1)
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range rows[int(n.Faults.OpenLeadAt/n.Meter.Every)+1:] {
		require.InDelta(t, 0, r.Amps, 0.02)
		low, high = min(low, r.Volts), max(high, r.Volts)
	}
	assert.Greater(t, high, n.Charger.Volts)
	assert.Greater(t, high-low, 0.2)
}

func TestRunawayTurnsTheCurrent(t *testing.T) {
	n, rows, c := trouble(t, "runaway")
	assert.Equal(t, analyze.Faulted, c.Outcome)
	at := func(s float64) analyze.Sample { return rows[int(s/n.Meter.Every)] }
	turned := at(n.Faults.RunawayAt)
	assert.Less(t, turned.Amps, at(n.Faults.RunawayAt-1800).Amps, "before, it falls")
	assert.Greater(t, at(n.Faults.RunawayAt+4500).Amps, 2*turned.Amps)
	assert.Greater(t, float64(c.PeakCelsius), turned.Celsius+20)
}

func TestStalledGoesNowhere(t *testing.T) {
	n, rows, c := trouble(t, "stalled")
	assert.True(t, unknown(c.FinishS))
	late := rows[len(rows)-int((4*3600)/n.Meter.Every) : len(rows)-int(3700/n.Meter.Every)]
	assert.InDelta(t, late[0].Volts, late[len(late)-1].Volts, 0.05)
	assert.InDelta(t, 0.1, late[0].Amps, 0.02)
}

func TestLoadBesideTheBatteryHidesTheTail(t *testing.T) {
	n, rows, c := trouble(t, "load-beside")
	assert.False(t, unknown(c.LimitS))
	assert.True(t, unknown(c.FinishS))
	assert.InDelta(t, n.Faults.LoadAmps, float64(c.TailAmps), 0.5)
	assert.InDelta(t, 0, rows[len(rows)-1].Amps, 0.02)
}

func TestClockSteps(t *testing.T) {
	_, rows, c := trouble(t, "clock-steps")
	var steps []float64
	for i := 1; i < len(rows); i++ {
		if d := rows[i].At - rows[i-1].At; d != 5 {
			steps = append(steps, d)
			assert.InDelta(t, d*1e9, float64(rows[i].Wall-rows[i-1].Wall), 1, "the date steps with it")
		}
	}
	assert.Equal(t, []float64{5 - 3600, 65}, steps)
	assert.Equal(t, analyze.Complete, c.Outcome)
}

func TestLostSourceComesBack(t *testing.T) {
	n, rows, _ := trouble(t, "car-power-failure") // one charge all the same
	lost := n.Faults.Lost[0]
	for _, r := range rows {
		if r.At > lost.From+1 && r.At < lost.To-1 {
			require.InDelta(t, 0, r.Amps, 0.02)
		}
	}
	assert.InDelta(t, 6, rows[int(lost.To+60)/10].Amps, 0.02)
}
