package analyze_test

import (
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// From the first row with current on it is told that some flows, though a charge is called one only when
// it has lasted; so it is before the second charge of a log. What a meter shows of nothing is no current.
func TestACurrentIsToldFromItsFirstRowOn(t *testing.T) {
	rows := script(10, steady(600, 12.3, 0.004), ramp(anHour, 12.6, 13, 5, 5), idle(anHour, 12.8), ramp(anHour, 12.9, 13.2, 5, 5))
	m := analyze.New(analyze.Options{})
	began := 0
	for k := range rows {
		for _, e := range m.Step(rows[k]) {
			if e.Kind == analyze.SessionBegan {
				began++
			}
		}
		_, starting := m.Starting()
		switch at := rows[k].At; {
		case at < 600:
			require.False(t, starting, "%v s", at)
		case at < 4200:
			require.Equal(t, began == 0, starting, "%v s", at)
		case at >= 4210 && at < 7800: // one more row may still be taken for the charge's
			require.False(t, starting, "%v s", at)
		case at >= 7800:
			require.Equal(t, began == 1, starting, "%v s", at)
		}
	}
	assert.Equal(t, 2, began)
}

// What is told of a current is when it began.
func TestAStartingCurrentIsDatedToItsBeginning(t *testing.T) {
	rows := script(10, idle(600, 12.3), steady(100, 12.8, 3))
	m := analyze.New(analyze.Options{})
	for k := range rows {
		m.Step(rows[k])
		if since, starting := m.Starting(); rows[k].At >= 600 {
			require.True(t, starting, "%v s", rows[k].At)
			require.InDelta(t, 600, since, 0, "%v s", rows[k].At)
		}
	}
}

// A hazard of a charge that has just begun is in the summary of that moment, though the charge before it knew the same one.
func TestAHazardThatIsBackIsNotHiddenByTheOneThatIsOver(t *testing.T) {
	rows := script(10, idle(600, 12.3), ramp(anHour, 12.6, 13, 5, 5), steady(300, 16.5, 5), steady(300, 13, 5), idle(anHour, 12.8), steady(90, 16.5, 5))
	m := analyze.New(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6})
	for k := range rows {
		m.Step(rows[k])
	}
	d := m.Document()
	s := &d.Sessions[len(d.Sessions)-1]
	require.InDelta(t, 600, float64(s.StartS), 0, "the first charge is still the last")
	for _, f := range s.Findings {
		if f.Code == analyze.CodeOverVoltage {
			assert.False(t, analyze.Known(f.EndS), "it holds")
			assert.InDelta(t, 4200, float64(f.AtS), 20)
			return
		}
	}
	t.Error("nothing is said of the voltage")
}
