package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// logName is a log to read: one that was named, or one of a folder that was.
type logName struct {
	path  string
	found bool // in a folder, so it may turn out to be no log at all
}

// logsNamed are the logs that arguments name, in their order, those of a folder in
// the order of their names, folder by folder. What is hidden is left out. Tell is
// called with what cannot be looked into.
func logsNamed(args []string, tell func(error)) []logName {
	var all []logName
	for _, arg := range args {
		info, err := os.Stat(arg)
		if arg == stdinNamed || err != nil || !info.IsDir() {
			all = append(all, logName{path: arg}) // whoever opens it says what is wrong
			continue
		}
		_ = filepath.WalkDir(arg, func(path string, entry fs.DirEntry, err error) error { // each error is told
			if err != nil {
				tell(err)
				return nil
			}
			if hidden(path, arg) {
				return skipped(entry)
			}
			if entry.IsDir() {
				return nil
			}
			if err := regular(path); err != nil {
				tell(fmt.Errorf("%s: %w", path, err))
				return nil
			}
			all = append(all, logName{path, true})
			return nil
		})
	}
	return all
}

func hidden(path, root string) bool {
	return path != root && strings.HasPrefix(filepath.Base(path), ".")
}

func skipped(entry fs.DirEntry) error {
	if entry.IsDir() {
		return fs.SkipDir
	}
	return nil
}

// regular refuses what is no ordinary file, which might block whoever reads it.
func regular(path string) error {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return err
	case info.IsDir():
		return errors.New("a link to a folder")
	case !info.Mode().IsRegular():
		return errors.New("no ordinary file")
	}
	return nil
}
