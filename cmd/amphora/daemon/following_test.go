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

// A stop came in the middle of a line, and after the next start a kill before the place was
// noted: the journal holds the half, and behind it what is read again. None of it is recorded twice.
func TestHalfALineDoesNotHideWhatWasRecordedBehindIt(t *testing.T) {
	file, data := filepath.Join(t.TempDir(), "night.log"), t.TempDir()
	note := filepath.Join(data, "state", "bench.file.json")
	run := func(text string, lines int) {
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		f := capture.File{Path: file}
		_, stop := startedWith(t, data, Settings{Name: "bench", Source: follow(t, f), Follow: &f, Decoder: "auto"})
		testhelp.Until(t, "its lines", func() bool { return len(linesOf(t, data)) >= lines })
		stop()
	}
	run("1,12.1\n2,12.1\n3,1", 2)
	before, err := os.ReadFile(note)
	require.NoError(t, err)
	run("1,12.1\n2,12.1\n3,12.1\n4,12.1\n", 5)
	require.NoError(t, os.WriteFile(note, before, 0o600))
	run("1,12.1\n2,12.1\n3,12.1\n4,12.1\n5,12.1\n", 6)
	assert.Equal(t, "1,12.1 2,12.1 3,1 3,12.1 4,12.1 5,12.1", string(bytes.Join(linesOf(t, data), []byte(" "))))
}

// Two places wait for a slow disk, and the first comes last. It may be of a log that has been
// rotated away by then, and all of the next one would be recorded once more.
func TestAnEarlierPlaceInAFileIsNotWrittenOverALaterOne(t *testing.T) {
	j, err := journal.Open(t.TempDir(), journal.Options{})
	require.NoError(t, err)
	defer j.Close(t.Context())
	record, err := j.Channel("bench", 0)
	require.NoError(t, err)
	c := &channel{set: Settings{Name: "bench"}, record: record, log: quiet(), following: &following{file: filepath.Join(t.TempDir(), "note")}}
	first, second := c.following.places.next(), c.following.places.next()
	c.keepProgress(t.Context(), second, progress{Seq: 2})
	c.keepProgress(t.Context(), first, progress{Seq: 1})
	var got progress
	require.NoError(t, readState(c.following.file, &got))
	assert.EqualValues(t, 2, got.Seq)
}
