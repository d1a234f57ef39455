package daemon

import (
	"bytes"
	"context"
	"log/slog"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What nobody need do anything about is no warning in the log either.
func TestANoteIsNoWarningInTheLog(t *testing.T) {
	var said bytes.Buffer
	clock := capture.NewManualClock(evening)
	m := &meter{clock: clock, lines: 1200, at: map[int]func(){600: func() { clock.Advance(10 * time.Minute) }}}
	d, err := Open(t.Context(), Config{
		Data: t.TempDir(), Clock: clock, Log: slog.New(slog.NewTextHandler(&said, nil)),
		Channels: []Settings{{
			Name: "bench", Decoder: "auto", Options: analyze.Options{Channel: "bench"},
			Source: capture.Source{Name: "meter", Ends: true, Open: func(context.Context) (capture.Stream, error) { return m, nil }},
		}},
	})
	require.NoError(t, err)
	require.NoError(t, d.Run(t.Context()))
	require.NoError(t, d.Close())
	assert.Contains(t, said.String(), `level=INFO msg="note: data-gap"`)
	assert.NotContains(t, said.String(), "level=WARN")
}
