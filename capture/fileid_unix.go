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
