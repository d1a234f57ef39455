package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// A pack that was used until just before its charge, as a meter without a sign shows it.
func TestADischargeWithoutASignIsNoLooseLead(t *testing.T) {
	rows := script(5, ramp(900, 9.8, 9.6, 2, 2), settle(300, 9.95, 10.1, 200),
		ramp(2*anHour, 10.6, 11.9, 1, 1), ramp(600, 11.9, 11.8, 1, 1), settle(anHour, 11.5, 11, 900))
	for _, o := range []analyze.Options{{}, {Chemistry: analyze.NiMH, Cells: 8, Capacity: 2.2 * anHour}} {
		d := run(o, rows)
		assert.Nil(t, findingIn(d, analyze.CodeOpenCircuit), listed(d))
	}
}

// The lead comes off in the middle of a charge, whose voltage rose; or of one whose voltage sank
// since the log began, and what the charger then shows is more than any battery comes back to.
func TestALeadThatComesOffIsSeenWhateverTheVoltageDid(t *testing.T) {
	for name, parts := range map[string][]part{
		"it rose": {idle(60, 9.5), ramp(900, 9.6, 9.8, 2, 2), idle(60, 10.4)},
		"it sank": {ramp(900, 9.8, 9.6, 2, 2), idle(60, 14)},
	} {
		d := run(analyze.Options{}, script(5, parts...))
		f := findingIn(d, analyze.CodeOpenCircuit)
		require.NotNil(t, f, "%s: %s", name, listed(d))
		assert.Equal(t, analyze.Alarm, f.Severity)
	}
}
