//go:build !windows

package journal

import (
	"os"
	"syscall"
)

// openFile opens a file that may get another name, or be taken away, while it is open.
func openFile(path string, flag int, mode os.FileMode) (*os.File, error) {
	return os.OpenFile(path, flag, mode)
}

// errHeld is what lockHandle says of a file that somebody else has locked.
const errHeld = syscall.EWOULDBLOCK

func lockHandle(f *os.File) error {
	return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
}

func freeBytes(dir string) (uint64, error) {
	var st syscall.Statfs_t
	if err := syscall.Statfs(dir, &st); err != nil {
		return 0, &os.PathError{Op: "statfs", Path: dir, Err: err}
	}
	return uint64(st.Bavail) * uint64(st.Bsize), nil
}

func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}
