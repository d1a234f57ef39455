package main

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

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

// A daemon tells of one reading again and again; and after a restart it counts the time from
// where the charge under way began.
func TestTheCurveOutlastsARestartOfTheDaemon(t *testing.T) {
	asked := 0
	house := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		asked++
		fmt.Fprint(w, `{"session": "bench-1", "at_s": [0, 30], "volts": [12.4, 12.9], "amps": [0, 2], "celsius": [null, null]}`)
	}))
	defer house.Close()
	r := &remote{base: house.URL, channel: "bench"}
	hear := func(session string, times ...float64) (at []float64) {
		for _, s := range times {
			require.NoError(t, r.take(t.Context(), "channel", fmt.Appendf(nil, `{"name": "bench", "session": %s, "reading": {"at_s": %g, "volts": 12.6, "amps": 2}}`, session, s)))
		}
		for _, p := range r.points(mostPoints) {
			at = append(at, p.At)
		}
		return at
	}
	assert.Equal(t, []float64{90_000, 90_010}, hear("null", 90_000, 90_000, 90_010, 90_010))
	assert.Equal(t, []float64{0, 30, 90_030}, hear(`{"id": "bench-1"}`, 90_020, 90_030), "which begins somewhere else in a real one")
	assert.Equal(t, []float64{0, 30, 50}, hear(`{"id": "bench-1"}`, 40, 50))
	assert.Equal(t, 2, asked)
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
	r := &remote{base: "http://house", wrong: "the daemon cannot be heard: connection refused"}
	out := new(strings.Builder)
	require.NoError(t, printPlain(out, r))
	assert.Equal(t, "the daemon cannot be heard: connection refused\n", out.String())
}

// Who has heard nothing of a daemon is not told that it saw no charge.
func TestADaemonThatIsNotThereIsNotWatched(t *testing.T) {
	house := httptest.NewServer(http.NotFoundHandler())
	defer house.Close()
	ctx, stop := context.WithCancel(t.Context())
	said := new(strings.Builder)
	ended := make(chan error, 1)
	from, err := openRemote(house.URL, "", "")
	require.NoError(t, err)
	go func() { ended <- from.run(ctx) }()
	require.Eventually(t, func() bool { return from.remark() != "" }, time.Minute, time.Millisecond)
	stop()
	require.NoError(t, <-ended)
	err = ending(said, from, house.URL)
	assert.ErrorContains(t, err, house.URL+": the daemon cannot be heard: "+house.URL+"/api/v1/live answers 404")
	assert.ErrorContains(t, err, "does `amphora serve` run there?")
	assert.Empty(t, said.String())
}
