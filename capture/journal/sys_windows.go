package journal

import (
	"os"

	"golang.org/x/sys/windows"
)

// lockHandle locks a byte far behind the text, so that others can still read
// who holds the file.
func lockHandle(f *os.File) error {
	const flags = windows.LOCKFILE_EXCLUSIVE_LOCK | windows.LOCKFILE_FAIL_IMMEDIATELY
	return windows.LockFileEx(windows.Handle(f.Fd()), flags, 0, 1, 0, &windows.Overlapped{OffsetHigh: 1})
}

func freeBytes(dir string) (uint64, error) {
	path, err := windows.UTF16PtrFromString(dir)
	if err != nil {
		return 0, err
	}
	var free uint64
	if err := windows.GetDiskFreeSpaceEx(path, &free, nil, nil); err != nil {
		return 0, &os.PathError{Op: "free space", Path: dir, Err: err}
	}
	return free, nil
}

// syncDir has nothing to do: this system has no handle to sync a folder by, its
// file system journals names itself.
func syncDir(string) error { return nil }
