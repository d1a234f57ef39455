//go:build linux

package e2e

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Each harm is done to the journal of half a night, whose other half is then
// recorded.
var harms = []struct {
	name string
	do   func([]byte) []byte // to the newest segment; nil removes it
	lost int                 // records that may be missing afterwards, at most
	warn string              // what the start warns of, once; "" where nothing shows it
}{
	{"cut tail", func(b []byte) []byte { return b[:len(b)-20] }, 1, "damaged tail"},
	{"flipped bit", func(b []byte) []byte { b[len(b)/2] ^= 4; return b }, 1, "journal is damaged"},
	{"zeros at the end", func(b []byte) []byte { return append(b, make([]byte, 4096)...) }, 0, "damaged tail"},
	{"foreign bytes", func(b []byte) []byte { return append(b, "\xff\x00these are no lines of ours\n\x01\x02"...) }, 0, "damaged tail"},
	{"missing segment", func([]byte) []byte { return nil }, 1 << 20, ""},
}

func TestDamagedJournals(t *testing.T) {
	t.Parallel()
	night := play(madeup.Named("mower-two-hour-timer"))
	half := len(night.lines) / 2
	for _, harm := range harms {
		t.Run(harm.name, func(t *testing.T) {
			t.Parallel()
			at, port := newPlace(t), newPort(t)
			at.channel(t, "bench", port.source())
			p := serve(t, at.config)
			port.sayAll(night.lines[:half])
			p.untilHeard("bench", half)
			p.stop()
			before := recorded(t, at.data, "bench")
			spoil(t, at.data, harm.do)

			p = serve(t, at.config)
			if harm.warn != "" {
				assert.Equal(t, 1, p.log.Count(harm.warn), p.log.String())
			}
			assert.LessOrEqual(t, p.log.Count("level=WARN"), 1, p.log.String())
			p.untilUp("bench")
			port.sayAll(night.lines[half:])
			p.untilHeard("bench", len(night.lines)-half)
			p.stop()

			have := make(map[string]bool)
			last := uint64(0)
			for _, r := range recorded(t, at.data, "bench") {
				assert.Greater(t, r.seq, last, "numbers only grow")
				last = r.seq
				have[r.text] = true
			}
			missing := 0
			for _, r := range before {
				if !have[r.text] {
					missing++
				}
			}
			assert.LessOrEqual(t, missing, harm.lost)
			for _, line := range night.lines[half:] {
				assert.True(t, have[line], "after the damage: %s", line)
			}
		})
	}
}

// spoil harms the newest segment of the channel.
func spoil(t testing.TB, data string, do func([]byte) []byte) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(data, "journal", "*", "*"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	file := files[len(files)-1]
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	harmed := do(bytes.Clone(text))
	if harmed == nil {
		require.NoError(t, os.Remove(file))
		return
	}
	require.NotEqual(t, text, harmed)
	require.NoError(t, os.WriteFile(file, harmed, 0o600))
}
