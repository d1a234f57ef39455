package influx

import (
	"context"
	"log/slog"
	"time"
)

const (
	// sayEvery is how much time lies between two lines in the log. A server that comes
	// and goes must not fill it.
	sayEvery = time.Minute
	// againEvery is when the same is news again.
	againEvery = 6 * time.Hour
)

// herald says how things stand. What has changed within the last minute is said when
// the minute is over, if it is still so.
type herald struct {
	log  *slog.Logger
	name string

	at   time.Time // of the last line
	news *line
	said string // the text of the last line
}

type line struct {
	level slog.Level
	text  string
	about []any
}

// tell is what should be said next. The same again is no news for a while.
func (h *herald) tell(level slog.Level, text string, about ...any) {
	h.news = &line{level, text, append([]any{"target", h.name}, about...)}
	if text == h.said && time.Since(h.at) < againEvery {
		h.news = nil
	}
}

// speak says what is new, if it is time to, and returns when it will be; zero where
// there is nothing to say.
func (h *herald) speak(now time.Time) time.Time {
	if h.news == nil {
		return time.Time{}
	}
	if due := h.at.Add(sayEvery); !h.at.IsZero() && now.Before(due) {
		return due
	}
	h.log.Log(context.Background(), h.news.level, h.news.text, h.news.about...)
	h.at, h.said, h.news = now, h.news.text, nil
	return time.Time{}
}
