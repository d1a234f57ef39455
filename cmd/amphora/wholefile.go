package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// writeWhole writes a file whole or not at all, and never over the one that it
// was made from.
func writeWhole(file, input string, write func(io.Writer) error) error {
	if was, err := os.Stat(file); err == nil && input != "" {
		if from, err := os.Stat(input); err == nil && os.SameFile(was, from) {
			return usagef("--out %s would write over the log itself", file)
		}
	}
	f, err := os.CreateTemp(filepath.Dir(file), ".amphora-*")
	if err != nil {
		return fmt.Errorf("write %s: %w", file, err)
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
		err = os.Chmod(f.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(f.Name(), file)
	}
	if err != nil {
		return fmt.Errorf("write %s: %w", file, err)
	}
	return nil
}
