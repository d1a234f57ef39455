package journal

import (
	"io"
	"os"
	"path/filepath"
)

// FS is all the file work of the journal, small enough for a test to stand in
// and fail, or lose power, at any step.
type FS interface {
	MkdirAll(dir string) error
	ReadDir(dir string) (names []string, err error)
	Open(path string) (File, error)   // for reading
	Edit(path string) (File, error)   // an existing file, for reading and writing
	Create(path string) (File, error) // empty, for reading and writing
	Rename(from, to string) error     // replaces
	Remove(path string) error
	SyncDir(dir string) error // makes names durable
	Size(path string) (int64, error)
	Free(dir string) (bytes uint64, err error)
	// Lock takes the file for this process alone and writes text into it.
	// Where somebody else has it, the error is an *InUseError.
	Lock(path, text string) (io.Closer, error)
}

// File is an open file. Writes name their place, so that there is one truth
// about where the next record goes.
type File interface {
	io.Reader
	io.WriterAt
	io.Closer
	Truncate(size int64) error
	Sync() error
}

// osFS is the machine's own file system.
type osFS struct{}

func (osFS) MkdirAll(dir string) error      { return os.MkdirAll(dir, 0o750) }
func (osFS) Rename(from, to string) error   { return os.Rename(from, to) }
func (osFS) Remove(path string) error       { return os.Remove(path) }
func (osFS) Open(path string) (File, error) { return asFile(openFile(path, os.O_RDONLY, 0)) }

func (osFS) Edit(path string) (File, error) { return asFile(openFile(path, os.O_RDWR, 0)) }

func (osFS) Create(path string) (File, error) {
	return asFile(openFile(path, os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o640))
}

// asFile keeps a nil *os.File from becoming a File that is not nil.
func asFile(f *os.File, err error) (File, error) {
	if err != nil {
		return nil, err
	}
	return f, nil
}

func (osFS) ReadDir(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = e.Name()
	}
	return names, nil
}

func (osFS) Size(path string) (int64, error) {
	info, err := os.Stat(path)
	if err != nil {
		return 0, err
	}
	return info.Size(), nil
}

func (osFS) Free(dir string) (uint64, error) { return freeBytes(dir) }

func (osFS) SyncDir(dir string) error { return syncDir(dir) }

func (osFS) Lock(path, text string) (io.Closer, error) { return lockFile(path, text) }

// writeWhole makes a file appear at once or not at all: written beside its
// place, synced, renamed, and the folder synced.
func writeWhole(fsys FS, path string, write func(File) error) error {
	temp := path + newEnd
	f, err := fsys.Create(temp)
	if err != nil {
		return err
	}
	err = write(f)
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = fsys.Rename(temp, path)
	}
	if err != nil {
		_ = fsys.Remove(temp) // best effort: opening the channel removes it too
		return err
	}
	return fsys.SyncDir(filepath.Dir(path))
}
