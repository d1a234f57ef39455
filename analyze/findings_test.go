package analyze

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The table of finding codes that people and programs rely on, with the severity
// that each usually has.
func TestEveryFindingCodeHasItsSeverity(t *testing.T) {
	require.Equal(t, map[string]Severity{
		"stalled": Warning, "running-long": Warning, "over-capacity": Warning, "voltage-not-reached": Warning,
		"no-taper": Warning, "thermal-runaway": Alarm, "over-temperature": Alarm, "over-voltage": Alarm,
		"under-temperature": Alarm, "reverse-polarity": Alarm, "open-circuit": Alarm, "current-dropped": Warning,
		"accepts-little": Note, "interrupted": Note, "power-limited": Note, "pulsed": Note, "meter-silent": Warning,
		"meter-frozen": Warning, "data-gap": Note, "clock-step": Note, "overload-reading": Note,
	}, FindingCodes())
}

func TestAFindingRisesClearsAndRisesAgain(t *testing.T) {
	var f findings
	require.True(t, f.raise(CodeStalled, 100, "first"), "new")
	require.False(t, f.raise(CodeStalled, 160, "still"), "the same one")
	require.True(t, f.holds(CodeStalled))
	require.True(t, f.clear(CodeStalled, 200))
	require.False(t, f.clear(CodeStalled, 210), "cleared already")
	require.False(t, f.holds(CodeStalled))
	require.True(t, f.raise(CodeStalled, 300, "again"), "news once more")
	require.Len(t, f.list, 1, "one entry a code")
	require.Equal(t, Number(100), f.list[0].AtS, "dated to when it first began")
	require.Equal(t, "again", f.list[0].Message)
}
