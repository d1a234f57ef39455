package daemon

import (
	"bytes"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"testing"

	"amphora/analyze"
	"amphora/capture"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever bit of a state a failing card changes, and wherever it cuts it: nothing else is read
// than what was written.
func TestStateHarmedAtEveryBit(t *testing.T) {
	file := filepath.Join(t.TempDir(), "state", "bench.json")
	want := place{From: 1302, Epoch: 1795822636956245903, Decoder: "columns volts=1 amps=2", Told: true}
	require.NoError(t, writeState(file, want))
	sound, err := os.ReadFile(file)
	require.NoError(t, err)
	read := func(text []byte) (p place, err error) {
		require.NoError(t, os.WriteFile(file, text, 0o600))
		err = readState(file, &p)
		return p, err
	}
	got, err := read(sound)
	require.NoError(t, err)
	assert.Equal(t, want, got)
	for k := range sound {
		for bit := range 8 {
			harmed := bytes.Clone(sound)
			harmed[k] ^= 1 << bit
			if got, err := read(harmed); err == nil {
				require.Equal(t, want, got, "%q", harmed)
			}
		}
		if got, err := read(sound[:k]); err == nil {
			require.Equal(t, want, got, "%q", sound[:k])
		}
	}
	require.NoError(t, os.Remove(file))
	assert.ErrorIs(t, readState(file, &got), fs.ErrNotExist)
}

// What can no longer be known after a start is said, and is no fresh beginning in silence.
func TestHarmedStateIsToldOf(t *testing.T) {
	for _, c := range []struct{ file, said string }{
		{"bench.json", "all of it is told again"},
		{"bench.file.json", "the place in the log file is not known any more"},
		{filepath.Join("limits", "bench.json"), "the limits that were set cannot be read"},
	} {
		t.Run(c.file, func(t *testing.T) {
			data, log := t.TempDir(), filepath.Join(t.TempDir(), "night.log")
			require.NoError(t, os.WriteFile(log, []byte("V=12.50 A=1.00\n"), 0o600))
			var said testhelp.Log
			run := func(do func(*Daemon)) {
				f := capture.File{Path: log}
				d, stop := startedWith(t, data, Settings{Name: "bench", Source: follow(t, f), Follow: &f, Decoder: "auto"}, func(c *Config) {
					c.Log = slog.New(slog.NewTextHandler(&said, nil))
				})
				testhelp.Until(t, "its line", func() bool { return len(linesOf(t, data)) == 1 })
				do(d)
				stop()
			}
			file := filepath.Join(data, "state", c.file)
			run(func(d *Daemon) {
				_, err := d.Limit("bench", live.NewLimits{Hours: new(26.0)})
				require.NoError(t, err)
			})
			require.NotContains(t, said.String(), c.said)
			if c.file == "bench.json" { // which the first charge to settle writes
				require.NoError(t, writeState(file, place{From: 1}))
			}
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			text[len(text)/2] ^= 1
			require.NoError(t, os.WriteFile(file, text, 0o600))
			run(func(d *Daemon) {
				if c.file == filepath.Join("limits", "bench.json") {
					assert.False(t, analyze.Known(limitsOf(t, d).Hours))
				}
			})
			assert.Contains(t, said.String(), c.said)
		})
	}
}
