package main

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTheFirstChannelIsWatched while the screen is being drawn; the race detector
// looks on.
func TestTheFirstChannelIsWatched(t *testing.T) {
	r := &remote{base: "http://house"}
	heard := make(chan error)
	go func() {
		heard <- r.take(t.Context(), "channels", []byte(`[{"name": "bench"}, {"name": "shed"}]`))
	}()
	before, seen := r.now()
	require.NoError(t, <-heard)
	if !seen {
		assert.Contains(t, []string{"", "bench"}, before.Name)
	}
	require.NoError(t, r.take(t.Context(), "channel", []byte(`{"name": "shed"}`)))
	after, _ := r.now()
	assert.Equal(t, "bench", after.Name)
}

func TestAChannelThatIsNotThereEndsTheWatching(t *testing.T) {
	r := &remote{channel: "attic"}
	err := r.take(t.Context(), "channels", []byte(`[{"name": "bench"}, {"name": "shed"}]`))
	_, final := errors.AsType[finalError](err)
	require.True(t, final, "%v", err)
	assert.ErrorContains(t, err, "it has bench, shed")
}

// Whoever watches a daemon that is not there sees why nothing comes.
func TestWhatIsWrongWithTheWatchingIsPrinted(t *testing.T) {
	r := &remote{base: "http://house", wrong: "the daemon cannot be heard, trying again: connection refused"}
	out := new(strings.Builder)
	require.NoError(t, printPlain(out, r))
	assert.Equal(t, "the daemon cannot be heard, trying again: connection refused\n", out.String())
}
