//go:build unix

package capture

import (
	"io/fs"
	"syscall"
)

// fileID is what stays the same when a file is renamed.
func fileID(info fs.FileInfo) (device, inode uint64) {
	if stat, ok := info.Sys().(*syscall.Stat_t); ok {
		return uint64(stat.Dev), stat.Ino
	}
	return 0, 0
}

// isNameless says whether a file that is open stands under no name any more: it was
// removed, or another was put in its place.
func isNameless(info fs.FileInfo) bool {
	stat, ok := info.Sys().(*syscall.Stat_t)
	return ok && stat.Nlink == 0
}
