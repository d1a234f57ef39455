//go:build unix

package main

import (
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Root may put a file in the place of /dev/null, which no program outlives for long.
func TestADeviceOrPipeStaysWhatItIs(t *testing.T) {
	dir := t.TempDir()
	pipe, link := filepath.Join(dir, "pipe"), filepath.Join(dir, "link")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	require.NoError(t, os.Symlink(pipe, link))
	reader, err := os.OpenFile(pipe, os.O_RDWR, 0) // so that nobody waits for the other end
	require.NoError(t, err)
	defer reader.Close()
	for _, out := range []string{pipe, link} {
		require.NoError(t, writeWhole(out, "", says("page")))
		info, err := os.Stat(pipe)
		require.NoError(t, err)
		require.Equal(t, fs.ModeNamedPipe, info.Mode().Type())
		got := make([]byte, len("page"))
		_, err = io.ReadFull(reader, got)
		require.NoError(t, err)
		assert.Equal(t, "page", string(got))
	}
}

func TestALinkLeadsToTheFileThatIsWritten(t *testing.T) {
	dir := t.TempDir()
	page, link := filepath.Join(dir, "page.html"), filepath.Join(dir, "link.html")
	require.NoError(t, os.WriteFile(page, []byte("old"), 0o600))
	require.NoError(t, os.Symlink(page, link))
	require.NoError(t, writeWhole(link, "", says("new")))
	text, err := os.ReadFile(page)
	require.NoError(t, err)
	assert.Equal(t, "new", string(text))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.Equal(t, fs.ModeSymlink, info.Mode().Type())
}

func says(text string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	}
}
