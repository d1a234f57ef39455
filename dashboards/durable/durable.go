// Package durable writes small files so that after a power cut each is there as it
// was before or as it is now, and never in between.
package durable

import (
	"os"
	"path/filepath"
)

// Replace writes a file beside the old one, makes it durable and puts it in its
// place.
func Replace(dir, name string, content []byte) error {
	if err := os.MkdirAll(dir, 0o750); err != nil {
		return err
	}
	f, err := os.CreateTemp(dir, "."+name+"-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(content)
	if err == nil {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Rename(f.Name(), filepath.Join(dir, name))
	}
	if err != nil {
		return err
	}
	SyncDir(dir)
	return nil
}

// SyncDir makes the names in a folder durable, where the system can do that.
func SyncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync() // not every system can; what the names lead to is durable
		_ = d.Close()
	}
}
