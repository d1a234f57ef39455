package web

import (
	"log/slog"
	"os"
	"sync"
	"time"
)

// watched is what was read from files, read again when they have changed. Where
// that fails the last good state stays in force, so that half an edited file
// locks nobody out.
type watched[T any] struct {
	paths []string
	read  func() (T, error)
	log   *slog.Logger

	mu    sync.Mutex
	value T
	marks []mark
}

// mark tells one state of a file from another.
type mark struct {
	changed time.Time
	size    int64
}

// watch reads the files for the first time.
func watch[T any](log *slog.Logger, read func() (T, error), paths ...string) (*watched[T], error) {
	w := &watched[T]{paths: paths, read: read, log: log}
	w.marks = w.look()
	var err error
	w.value, err = read()
	return w, err
}

// get returns the state of the files.
func (w *watched[T]) get() T {
	w.mu.Lock()
	defer w.mu.Unlock()
	marks := w.look()
	if same(marks, w.marks) {
		return w.value
	}
	w.marks = marks
	fresh, err := w.read()
	if err != nil {
		w.log.Warn("access file cannot be used, the earlier content stays in force", "error", err)
		return w.value
	}
	w.value = fresh
	return fresh
}

func (w *watched[T]) look() []mark {
	marks := make([]mark, len(w.paths))
	for i, path := range w.paths {
		if info, err := os.Stat(path); err == nil {
			marks[i] = mark{info.ModTime(), info.Size()}
		}
	}
	return marks
}

func same(a, b []mark) bool {
	for i := range a {
		if a[i].size != b[i].size || !a[i].changed.Equal(b[i].changed) {
			return false
		}
	}
	return true
}
