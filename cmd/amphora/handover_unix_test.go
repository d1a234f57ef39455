//go:build unix

package main

import (
	"os"
	"syscall"
	"testing"

	"amphora/cmd/amphora/daemon"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whoever adds the first battery with sudo leaves the logbook to the daemon.
func TestRootLeavesTheLogbookToTheOwnerOfTheFolder(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can give a file away")
	}
	const somebody = 65534
	dir := t.TempDir()
	require.NoError(t, os.Chown(dir, somebody, somebody))
	done(t, "battery", "add", "mower", "--data", dir)
	info, err := os.Stat(daemon.BookFile(dir))
	require.NoError(t, err)
	owner := info.Sys().(*syscall.Stat_t)
	assert.EqualValues(t, somebody, owner.Uid)
	assert.EqualValues(t, somebody, owner.Gid)
}
