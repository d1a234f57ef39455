//go:build unix

package daemon

import (
	"bytes"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"amphora/capture"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A pipe that its writer makes is not there yet when the program starts, as after each boot.
// What comes over it is none of what came the last time, however alike, and is not looked for.
func TestAPipeThatIsMadeLaterHasNothingTwice(t *testing.T) {
	pipe, data := filepath.Join(t.TempDir(), "meter"), t.TempDir()
	run := func(text string, lines int) (known int) {
		f := capture.File{Path: pipe}
		d, stop := startedWith(t, data, Settings{Name: "bench", Source: follow(t, f), Follow: &f, Decoder: "auto"})
		known = len(d.channels[0].following.known)
		require.NoError(t, syscall.Mkfifo(pipe, 0o600))
		testhelp.Until(t, "the pipe", func() bool {
			c, ok := d.Hub().Get("bench")
			return ok && c.Source.Up
		})
		writer, err := os.OpenFile(pipe, os.O_WRONLY, 0)
		require.NoError(t, err)
		_, err = writer.WriteString(text)
		require.NoError(t, err)
		require.NoError(t, writer.Close())
		testhelp.Until(t, "its lines", func() bool { return len(linesOf(t, data)) >= lines })
		stop()
		require.NoError(t, os.Remove(pipe))
		return known
	}
	run("row,volts\n1,12.1\n", 2)
	assert.Zero(t, run("row,volts\n2,12.1\n", 4))
	assert.Zero(t, run("row,volts\n3,12.1\n", 6))
	assert.Equal(t, "row,volts 1,12.1 row,volts 2,12.1 row,volts 3,12.1", string(bytes.Join(linesOf(t, data), []byte(" "))))
}
