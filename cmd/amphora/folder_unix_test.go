//go:build unix

package main

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFolderIsNotLeftByLinksNorHeldUpByPipes(t *testing.T) {
	dir := folderOf(t, map[string]string{"in/a.log": textOf(t, mowerLog)})
	require.NoError(t, os.Symlink(dir, filepath.Join(dir, "in", "up")))
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "in", "pipe"), 0o600))
	code, out, errOut := amphora(t, "analyze", "--json", filepath.Join(dir, "in"))
	assert.Equal(t, exitFailed, code)
	assert.Equal(t, []string{"in/a.log"}, sources(t, out))
	assert.Contains(t, errOut, "up: a link to a folder")
	assert.Contains(t, errOut, "pipe: no ordinary file")
}
