// Package durable writes small files so that after a power cut each is there as it
// was before or as it is now, and never in between.
package durable

import (
	"io"
	"os"
	"path/filepath"
)

// Replace puts content in the place of a file in a folder, and makes the folder if
// need be. Nobody but this user may read it.
func Replace(dir, name string, content []byte) error {
	if err := os.MkdirAll(dir, 0o750); err != nil {
		return err
	}
	return Write(filepath.Join(dir, name), 0o600, func(w io.Writer) error {
		_, err := w.Write(content)
		return err
	})
}

// Write has a file written beside the old one, makes it durable and puts it in its
// place. Where anything fails, what write returns included, the old one stays.
func Write(file string, mode os.FileMode, write func(io.Writer) error) error {
	dir, name := filepath.Split(file)
	dir = filepath.Clean(dir) // of a bare name the working folder
	f, err := os.CreateTemp(dir, "."+name+"-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	err = write(f)
	if err == nil {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Chmod(f.Name(), mode)
	}
	if err == nil {
		err = os.Rename(f.Name(), file)
	}
	if err != nil {
		return err
	}
	syncDir(dir)
	return nil
}

// syncDir makes the names in a folder durable, where the system can do that.
func syncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync() // not every system can; what the names lead to is durable
		_ = d.Close()
	}
}
