package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"amphora/dashboards/durable"
)

// writeWhole writes a file whole or not at all, and never over the one that it
// was made from. A link is followed; a device or a pipe is written to and stays
// what it is.
func writeWhole(file, input string, write func(io.Writer) error) error {
	if real, err := filepath.EvalSymlinks(file); err == nil {
		file = real
	}
	was, err := os.Stat(file)
	if err == nil && was.IsDir() {
		return usagef("%s is a folder; name a file in it", file)
	}
	if _, err := os.Stat(filepath.Dir(file)); errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("write %s: there is no folder %s; make it first", file, filepath.Dir(file))
	}
	if err == nil && input != "" {
		if from, err := os.Stat(input); err == nil && os.SameFile(was, from) {
			return usagef("--out %s would write over the log itself", file)
		}
	}
	if err == nil && !was.Mode().IsRegular() {
		err = writeInto(file, write)
	} else {
		err = durable.Write(file, 0o644, write)
	}
	if err != nil {
		return fmt.Errorf("write %s: %w", file, err)
	}
	return nil
}

func writeInto(file string, write func(io.Writer) error) error {
	f, err := os.OpenFile(file, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(write(f), f.Close())
}
