package durable

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// holds tells what a folder holds, by name.
func holds(t *testing.T, dir string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	all := map[string]string{}
	for _, e := range entries {
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		require.NoError(t, err)
		all[e.Name()] = string(text)
	}
	return all
}

func TestReplace(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "not", "there")
	require.NoError(t, Replace(dir, "state", []byte("before")))
	require.NoError(t, Replace(dir, "state", []byte("now")))
	assert.Equal(t, map[string]string{"state": "now"}, holds(t, dir))
}

func TestAFileThatCannotBeWrittenLeavesTheOldOne(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, Replace(dir, "state", []byte("before")))
	full := errors.New("no space left")
	err := Write(filepath.Join(dir, "state"), 0o600, func(w io.Writer) error {
		_, _ = io.WriteString(w, "half of")
		return full
	})
	assert.ErrorIs(t, err, full)
	assert.Equal(t, map[string]string{"state": "before"}, holds(t, dir))
}

func TestWriteIntoTheWorkingFolder(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	require.NoError(t, Write("page", 0o644, func(w io.Writer) error {
		_, err := io.WriteString(w, "whole")
		return err
	}))
	assert.Equal(t, map[string]string{"page": "whole"}, holds(t, dir))
	info, err := os.Stat("page")
	require.NoError(t, err)
	assert.EqualValues(t, 0o644, info.Mode().Perm())
}
