package config

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// folder reads the path of the data folder, which is made where it is not there.
func (r *reader) folder(p *string) func(node) {
	return func(n node) {
		r.path(p, "a folder")(n)
		if *p == "" {
			return
		}
		info, err := r.host.stat(*p)
		if errors.Is(err, fs.ErrNotExist) {
			err = makable(r.host.real(*p))
		}
		switch {
		case errors.Is(err, fs.ErrPermission):
			r.warn(n, "this user may not make or look into %s; it is for the user who runs amphora", *p)
		case err != nil:
			r.fail(n, "%s cannot be made: %v; name another folder", *p, reason(err))
		case info != nil && !info.IsDir():
			r.fail(n, "%s is a file, want a folder", *p)
		}
	}
}

// makable tries whether a folder could be made, and leaves nothing behind.
func makable(path string) error {
	above := filepath.Dir(path)
	for above != filepath.Dir(above) {
		if _, err := os.Stat(above); !errors.Is(err, fs.ErrNotExist) {
			break
		}
		above = filepath.Dir(above)
	}
	trial, err := os.MkdirTemp(above, ".amphora-")
	if err != nil {
		return err
	}
	return os.Remove(trial)
}
