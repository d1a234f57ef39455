package journal

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// lockName is the file in the data folder that the one writer holds.
const lockName = "amphora.lock"

// InUseError says that another process writes to the data folder.
type InUseError struct {
	Path   string // of the lock file
	Holder string // what the holder wrote into it: its process number and start
}

func (e *InUseError) Error() string {
	holder := e.Holder
	if holder == "" {
		holder = "another process"
	}
	return fmt.Sprintf("%s is held by %s; stop that one first or choose another data folder", e.Path, holder)
}

// lockRetry lets a second try pass when the first met a holder that was just
// letting go, as at a quick restart.
const lockRetry = 50 * time.Millisecond

func takeLock(fsys FS, dir string) (io.Closer, error) {
	text := fmt.Sprintf("process %d since %s\n", os.Getpid(), time.Now().UTC().Format(time.RFC3339))
	path := filepath.Join(dir, lockName)
	lock, err := fsys.Lock(path, text)
	if err != nil {
		time.Sleep(lockRetry)
		lock, err = fsys.Lock(path, text)
	}
	return lock, err
}

// lockFile opens path, locks it without waiting and leaves text in it. The lock
// ends with the process, however it ends; the text may stay behind.
func lockFile(path, text string) (io.Closer, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o640)
	if err != nil {
		// A read-only disk need not stop the start: the lock needs no writing.
		f, err = os.Open(path)
	}
	if err != nil {
		return nil, fmt.Errorf("open the lock of the data folder: %w", err)
	}
	if err := lockHandle(f); err != nil {
		f.Close()
		return nil, notLocked(path, err)
	}
	// The text only helps people; a full disk may refuse it.
	_ = f.Truncate(0)
	_, _ = f.WriteAt([]byte(text), 0)
	return f, nil
}

// notLocked says why a lock was refused: somebody has it, or there can be none.
func notLocked(path string, why error) error {
	if !errors.Is(why, errHeld) {
		return fmt.Errorf("%s cannot be locked, so a second writer would not be noticed; choose a data folder on a disk of this machine: %w", path, why)
	}
	held, _ := os.ReadFile(path) // the text only helps people
	return &InUseError{Path: path, Holder: strings.TrimSpace(string(held))}
}
