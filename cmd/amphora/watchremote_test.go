package main

import (
	"errors"
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
