package journal

import (
	"os"

	"golang.org/x/sys/windows"
)

// errHeld is what lockHandle says of a file that somebody else has locked.
const errHeld = windows.ERROR_LOCK_VIOLATION

// lockHandle locks a byte far behind the text, so that others can still read
// who holds the file.
func lockHandle(f *os.File) error {
	const flags = windows.LOCKFILE_EXCLUSIVE_LOCK | windows.LOCKFILE_FAIL_IMMEDIATELY
	return windows.LockFileEx(windows.Handle(f.Fd()), flags, 0, 1, 0, &windows.Overlapped{OffsetHigh: 1})
}

// openFile opens a file that may get another name, or be taken away, while it is open:
// a segment gets its name when it has begun, and a reader may still be at one that was packed.
// The library's own way of opening forbids that on this system.
func openFile(path string, flag int, _ os.FileMode) (*os.File, error) {
	name, err := windows.UTF16PtrFromString(path)
	if err != nil {
		return nil, &os.PathError{Op: "open", Path: path, Err: err}
	}
	access, how := uint32(windows.GENERIC_READ), uint32(windows.OPEN_EXISTING)
	if flag&os.O_RDWR != 0 {
		access |= windows.GENERIC_WRITE
	}
	if flag&os.O_CREATE != 0 {
		how = windows.CREATE_ALWAYS
	}
	const share = windows.FILE_SHARE_READ | windows.FILE_SHARE_WRITE | windows.FILE_SHARE_DELETE
	handle, err := windows.CreateFile(name, access, share, nil, how, windows.FILE_ATTRIBUTE_NORMAL, 0)
	if err != nil {
		return nil, &os.PathError{Op: "open", Path: path, Err: err}
	}
	return os.NewFile(uintptr(handle), path), nil
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
