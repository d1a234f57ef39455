package analyze_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// A charger ends a charge by itself, well before the tail that would be usual, and an hour later somebody takes
// the battery away: nothing has come loose. Where it ends with all its current, or a lead goes minutes after, it may be.
func TestABatteryTakenAwayAfterItsChargerEndedIsNotLoose(t *testing.T) {
	for _, c := range []struct {
		name  string
		parts []part
		loose bool
	}{
		{"taken away", []part{ramp(3*anHour, 12.6, 14.4, 5, 5), fade(0.8*anHour, 14.4, 5, 0.6*anHour), settle(anHour, 14, 12.9, 600), idle(600, 0.01)}, false},
		{"from a charger that stopped in mid-charge", []part{ramp(3*anHour, 12.6, 13.6, 5, 5), settle(anHour, 13.3, 12.8, 600), idle(600, 0.01)}, true},
		{"after a minute", []part{ramp(3*anHour, 12.6, 14.4, 5, 5), fade(0.8*anHour, 14.4, 5, 0.6*anHour), settle(60, 14, 12.9, 600), idle(600, 0.01)}, true},
	} {
		doc := run(analyze.Options{}, script(10, c.parts...))
		require.Len(t, doc.Sessions, 1, c.name)
		assert.Equal(t, c.loose, slices.Contains(codesOf(&doc.Sessions[0]), analyze.CodeOpenCircuit), c.name)
	}
}
