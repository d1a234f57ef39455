package testhelp

import (
	"log/slog"
	"strings"
	"sync"
)

// Log keeps what is written to it, and can be read meanwhile. The zero value is empty.
type Log struct {
	mu   sync.Mutex
	text strings.Builder
}

// Write never fails.
func (l *Log) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

// String is all that was written so far.
func (l *Log) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

// Lines are the lines of it, without their ends and without empty ones.
func (l *Log) Lines() []string {
	return strings.FieldsFunc(l.String(), func(r rune) bool { return r == '\n' })
}

// Count is in how many lines a text stands.
func (l *Log) Count(text string) (n int) {
	for _, line := range l.Lines() {
		if strings.Contains(line, text) {
			n++
		}
	}
	return n
}

// Logger writes messages to it, those of a level and above.
func (l *Log) Logger(level slog.Level) *slog.Logger {
	return slog.New(slog.NewTextHandler(l, &slog.HandlerOptions{Level: level}))
}
