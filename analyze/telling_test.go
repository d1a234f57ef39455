package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// What is found of the log just before a charge is over clears when it does, in that charge, and goes on in the next
// where it has not.
func TestWhatIsFoundBeforeAChargeIsOverClearsAfterIt(t *testing.T) {
	charge, stopped := 600+2*anHour, settle(600, 13, 12.9, 900)
	cleared := func(rows []analyze.Sample) (at []float64, d analyze.Document) {
		m := analyze.New(agm17)
		for _, s := range rows {
			for _, e := range m.Step(s) {
				if e.Kind == analyze.FindingCleared && e.Finding.Code == analyze.CodeReversePolarity {
					at = append(at, e.At)
				}
			}
		}
		return at, m.Document()
	}
	at, d := cleared(script(10, before, ramp(2*anHour, 12.6, 13.2, 5, 5), stopped, steady(2*anHour, -12.5, 0), steady(anHour, 12.8, 0)))
	require.Len(t, at, 1)
	assert.InDelta(t, charge+600+2*anHour, at[0], 30)
	f := findingIn(d, analyze.CodeReversePolarity)
	require.NotNil(t, f, listed(d))
	assert.InDelta(t, charge+600, float64(f.AtS), 30)
	assert.InDelta(t, at[0], float64(f.EndS), 1)

	at, d = cleared(script(10, before, ramp(2*anHour, 12.6, 13.2, 5, 5), stopped, steady(2*anHour, -12.5, 0), ramp(anHour, -12.6, -12.7, 5, 5), ramp(anHour, 12.6, 12.9, 5, 5)))
	require.Len(t, at, 1)
	assert.InDelta(t, charge+600+3*anHour, at[0], 30)
	last := d.Sessions[len(d.Sessions)-1]
	require.Len(t, d.Sessions, 2)
	require.Contains(t, codesOf(&last), analyze.CodeReversePolarity)
	f = findingIn(analyze.Document{Sessions: []analyze.Session{last}}, analyze.CodeReversePolarity)
	assert.InDelta(t, charge+600, float64(f.AtS), 30)
	assert.InDelta(t, at[0], float64(f.EndS), 1)
}
