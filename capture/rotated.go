package capture

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// rotatedNames are the names that a rotated log goes by, log.1, log-20260314, the one
// first that was written to first.
func rotatedNames(path string) []string {
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		return nil
	}
	var names []string
	written := map[string]time.Time{}
	base := filepath.Base(path)
	for _, e := range entries {
		if len(e.Name()) <= len(base) || e.Name()[:len(base)] != base || !e.Type().IsRegular() {
			continue
		}
		if info, err := e.Info(); err == nil {
			name := filepath.Join(filepath.Dir(path), e.Name())
			names, written[name] = append(names, name), info.ModTime()
		}
	}
	slices.SortStableFunc(names, func(a, b string) int { return written[a].Compare(written[b]) })
	return names
}

// next opens what a log goes on in: the first file that was begun and rotated away
// since, while nobody listened, or else what stands under the name now. What has
// been compressed cannot be read, and is named.
func (f *followed) next(mine fs.FileInfo) (file *os.File, unread string, err error) {
	now, err := os.Open(f.path)
	if err != nil {
		return nil, "", err
	}
	names := rotatedNames(f.path)
	for k, name := range names {
		info, err := os.Stat(name)
		if err != nil || !info.ModTime().After(mine.ModTime()) {
			continue
		}
		if isCompressed(name) {
			unread += "; " + filepath.Base(name) + " is compressed and was not read"
			continue
		}
		if file := f.original(name, append([]string{f.path}, names[:k]...)); file != nil {
			now.Close()
			return file, unread, nil
		}
	}
	return now, unread, nil
}

// original opens a log, unless it is a copy that somebody made of this one or of others.
func (f *followed) original(name string, others []string) *os.File {
	file, err := os.Open(name)
	if err != nil {
		return nil
	}
	alike := beginAlike(file, f.file)
	for _, other := range others {
		if o, err := os.Open(other); err == nil {
			alike = alike || beginAlike(file, o)
			o.Close()
		}
	}
	if alike {
		file.Close()
		return nil
	}
	return file
}

// beginAlike compares as much of two files' beginnings as tells one log from another. A
// short one that goes on in the other may be no more than the heading of both.
func beginAlike(a, b *os.File) bool {
	one, other := sizeOf(a), sizeOf(b)
	n := min(headMost, one, other)
	return (n >= headEnough || one == other) && sameBytes(a, b, 0, n)
}

// replacement opens the copy with more rows that took the place of this file, as
// programs leave it that bring a log here from elsewhere; it may have been rotated away
// itself by now. Where this one was kept under another name, a copy stands under its own, and
// holds more than the heading that two logs may have in common. It is nil if there is none.
func (f *followed) replacement(mine fs.FileInfo) *os.File {
	names := []string{f.path}
	switch {
	case isNameless(mine):
		names = append(rotatedNames(f.path), f.path)
	case f.offset < headEnough:
		return nil
	}
	for _, name := range names {
		if file, err := os.Open(name); err == nil {
			if f.goesOnIn(file) {
				return file
			}
			file.Close()
		}
	}
	return nil
}

// goesOnIn says whether a file holds what was read of this one. The first and the last
// that was read are compared.
func (f *followed) goesOnIn(next *os.File) bool {
	n := min(headMost, f.offset)
	return n > 0 && sizeOf(next) >= f.offset && sameBytes(f.file, next, 0, n) && sameBytes(f.file, next, f.offset-n, n)
}

func sameBytes(a, b *os.File, from, n int64) bool {
	one, ok := printOf(a, from, n)
	other, okToo := printOf(b, from, n)
	return ok && okToo && one == other
}

func sizeOf(file *os.File) int64 {
	info, err := file.Stat()
	if err != nil {
		return 0
	}
	return info.Size()
}

// isCompressed goes by the names that compressors give.
func isCompressed(path string) bool {
	return slices.Contains([]string{".gz", ".zst", ".xz", ".bz2", ".lz4"}, strings.ToLower(filepath.Ext(path)))
}
