package daemon

import (
	"log/slog"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What nobody need do anything about is no warning in the log either.
func TestANoteIsNoWarningInTheLog(t *testing.T) {
	var said testhelp.Log
	clock := testhelp.NewClock(evening)
	m := &meter{clock: clock, lines: 1200, at: map[int]func(){600: func() { clock.Advance(10 * time.Minute) }}}
	d := recorded(t, t.TempDir(), clock, m, func(c *Config) { c.Log = said.Logger(slog.LevelInfo) })
	require.NoError(t, d.Close())
	assert.Contains(t, said.String(), `level=INFO msg="note: data-gap"`)
	assert.NotContains(t, said.String(), "level=WARN")
}
