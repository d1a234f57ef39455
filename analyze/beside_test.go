package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fridgeBeside is a charge of 60 Ah with a refrigerator of so many amperes beside it from the
// moment on when 14.4 V are held, a third of each half hour; then a float of 13.6 V.
func fridgeBeside(hours, load, floats float64) []analyze.Sample {
	beside := func(t float64) float64 {
		if math.Mod(t, 1800) > 1200 {
			return load
		}
		return 0
	}
	taper := func(t float64) float64 { return 9*math.Exp(-t/1800) + 0.1 + beside(t) }
	return metered(10, 0.01, 0.01, idle(600, 12), ramp(5*anHour, 12.6, 14.4, 9, 9),
		part{hours * anHour, always(14.4), taper}, part{floats * anHour, always(13.6), beside}, settle(anHour, 13.2, 12.8, 1200))
}

// What the battery takes has come to its tail; that a load comes on beside it takes nothing back,
// nor that one is on when the charger steps down to its float.
func TestALoadBesideAFullBatteryLeavesItComplete(t *testing.T) {
	stayComplete(t, fridgeBeside(6, 2.5, 3))
	stayComplete(t, fridgeBeside(5.9, 3.2, 3))
}

// stayComplete feeds a charge that comes to its tail, and looks at it all the while from then on.
func stayComplete(t *testing.T, rows []analyze.Sample) {
	came := math.NaN()
	m := analyze.New(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 60 * 3600})
	for k := range rows {
		m.Step(rows[k])
		if k%30 != 0 || rows[k].At < 2*anHour {
			continue
		}
		s := m.Document().Sessions[0]
		if s.Outcome == analyze.Complete && !(came > 0) {
			came = float64(s.FinishS)
		}
		if came > 0 {
			require.Equal(t, analyze.Complete, s.Outcome, "at %g s", rows[k].At)
			require.InDelta(t, came, float64(s.FinishS), 60, "at %g s", rows[k].At)
		}
	}
	d := m.Document()
	require.Len(t, d.Sessions, 1, "the load on float is no charge of its own")
	assert.Empty(t, warnings(d))
	assert.InDelta(t, 600+5*anHour+1800*math.Log(9/1.1), came, 1200)
}

// Clouds over a panel take the voltage down, and the sun comes back: nothing was complete.
func TestACloudAtTheLimitIsNoTail(t *testing.T) {
	cloud := []part{ramp(600, 14.35, 13.6, 0.5, 0.3), ramp(900, 14.4, 14.4, 7, 5.5)}
	parts := append([]part{idle(600, 12), ramp(5*anHour, 12.6, 14.4, 9, 9), fade(anHour, 14.4, 9, 3*anHour)}, cloud...)
	s := run(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 60 * 3600}, metered(10, 0.01, 0.01, parts...)).Sessions[0]
	assert.Equal(t, analyze.Running, s.Outcome)
}
