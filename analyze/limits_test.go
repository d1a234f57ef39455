package analyze_test

import (
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Limits that are set in the middle of a charge hold from then on: what they would
// have warned of earlier is told at the next look, with its date, and what only the
// earlier ones warned of clears.
func TestLimitsMayBeSetInMidCharge(t *testing.T) {
	rows := madeup.Named("mower-float")
	m := analyze.New(known(rows))
	raised, cleared := map[string]analyze.Event{}, map[string]float64{}
	began, latest := 0.0, 0.0
	step := 0
	for s := range rows.Samples() {
		for _, e := range m.Step(s) {
			switch e.Kind {
			case analyze.SessionBegan:
				began = float64(e.Session.StartS)
			case analyze.FindingRaised:
				raised[e.Finding.Code] = e
			case analyze.FindingCleared:
				cleared[e.Finding.Code] = e.At
			}
		}
		latest = s.At
		switch in := s.At - began; {
		case step == 0 && began > 0 && in > 3*anHour:
			require.Empty(t, raised)
			m.Limit(analyze.Limits{Seconds: 2 * anHour, Volts: 12.5})
			step++
		case step == 1 && in > 3.5*anHour:
			require.Contains(t, raised, analyze.CodeRunningLong)
			assert.InDelta(t, began+2*anHour, float64(raised[analyze.CodeRunningLong].Finding.AtS), 1)
			require.Contains(t, raised, analyze.CodeOverVoltage)
			m.Limit(analyze.Limits{})
			step++
		}
	}
	require.Equal(t, 2, step)
	for _, code := range []string{analyze.CodeRunningLong, analyze.CodeOverVoltage} {
		require.Contains(t, cleared, code)
		assert.Less(t, cleared[code], began+3.6*anHour)
		assert.Less(t, cleared[code], latest)
	}
}
