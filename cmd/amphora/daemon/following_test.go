package daemon

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The note of how far a file was read is gone, damaged, or was never made by the program that wrote the journal: the
// place is found again, and no line is recorded twice.
func TestPlaceInAFileIsFoundAgain(t *testing.T) {
	log := madeup.Named("mower-two-hour-timer").Log()
	half := bytes.LastIndexByte(log[:len(log)/2], '\n') + 1
	for name, harm := range map[string]func(note string) error{
		"gone":    os.Remove,
		"damaged": func(note string) error { return os.WriteFile(note, []byte(`{"seq": 4`), 0o600) },
		"whole":   func(string) error { return nil },
	} {
		t.Run(name, func(t *testing.T) {
			file, data := filepath.Join(t.TempDir(), "night.log"), t.TempDir()
			require.NoError(t, os.WriteFile(file, log[:half], 0o600))
			run := func(lines int) {
				f := capture.File{Path: file}
				_, stop := startedWith(t, data, Settings{Name: "bench", Source: follow(t, f), Follow: &f, Decoder: "auto"})
				testhelp.Until(t, "its lines", func() bool { return len(linesOf(t, data)) >= lines })
				stop()
			}
			run(bytes.Count(log[:half], []byte("\n")))
			notes, err := filepath.Glob(filepath.Join(data, "state", "*.file.json"))
			require.NoError(t, err)
			require.Len(t, notes, 1)
			require.NoError(t, harm(notes[0]))
			require.NoError(t, os.WriteFile(file, log, 0o600))
			run(bytes.Count(log, []byte("\n")))
			assert.Equal(t, string(log), string(append(bytes.Join(linesOf(t, data), []byte("\n")), '\n')))
		})
	}
}

// linesOf are the lines that the journal holds of the channel.
func linesOf(t *testing.T, data string) (lines [][]byte) {
	r, err := journal.NewReader(data, "bench", 1)
	require.NoError(t, err)
	defer r.Close()
	for r.Next() {
		if rec := r.Record(); rec.Flags&capture.NotLine == 0 {
			lines = append(lines, bytes.Clone(rec.Text))
		}
	}
	require.NoError(t, r.Err())
	return lines
}
