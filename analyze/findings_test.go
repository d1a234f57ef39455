package analyze

import (
	"testing"

	"github.com/stretchr/testify/require"
)

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

func TestAFindingThatGrowsMoreSevereIsNews(t *testing.T) {
	var f findings
	require.True(t, f.raiseAs(CodeAcceptsLittle, Note, 100, "it may be full"))
	require.True(t, f.raiseAs(CodeAcceptsLittle, Warning, 100, "it was empty"))
	require.False(t, f.raiseAs(CodeAcceptsLittle, Warning, 100, "it was empty"))
	require.Equal(t, Warning, f.list[0].Severity)
}
