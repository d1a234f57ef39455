package logbook

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
	"time"

	"amphora/analyze"
)

// Session is one recorded charge as the book keeps it. A charge that is still
// going on stands in the book too, and is written over as it proceeds.
type Session struct {
	Summary analyze.Session
	// JournalFrom is the place in the raw record where the charge began. Its
	// form is the recorder's own business.
	JournalFrom string
	// Settled says that no revision will follow, so that its stretch of the raw
	// record is needed no more to work it out.
	Settled bool
	// Notes are what people wrote beside it, the oldest first. Writing a session
	// never touches them.
	Notes []Note
}

// Note is what a person wrote beside a session. Notes are only ever added, and
// they outlast the session if it is taken out or worked out anew.
type Note struct {
	ID      string    `json:"id"` // given by the book; sorts by time
	Session string    `json:"session"`
	At      time.Time `json:"at"` // UTC, whole milliseconds
	Text    Text      `json:"text"`
}

func (n Note) checked() (Note, error) {
	if n.At.IsZero() {
		return n, &Invalid{"at", "is missing; say when it was written"}
	}
	n.At = stamp(n.At)
	if strings.TrimSpace(string(n.Text)) == "" {
		return n, &Invalid{"text", "is empty"}
	}
	if err := checkTime("at", &n.At); err != nil {
		return n, err
	}
	return n, checkText("text", n.Text)
}

// Pages of sessions.
const (
	DefaultPage = 50
	LongestPage = 1000
)

// Filter says which sessions to list. Its zero value takes the newest page.
type Filter struct {
	Battery string // this one only, unless empty
	Channel string // this one only, unless empty
	Limit   int    // DefaultPage if 0, LongestPage at most
	Before  Cursor // older than this place
}

func (f Filter) checked() (Filter, error) {
	if f.Limit == 0 {
		f.Limit = DefaultPage
	}
	if f.Limit < 1 || f.Limit > LongestPage {
		return f, &Invalid{"limit", fmt.Sprintf("is %d, want 1 to %d", f.Limit, LongestPage)}
	}
	return f, nil
}

// Cursor is a place in the list of sessions, which runs from the newest to the
// oldest. Its zero value is the place before the newest.
type Cursor struct {
	started int64 // ms since 1970-01-01 UTC, 0 where the log knows no date
	id      string
}

// Cursor returns the session's own place in the list.
func (s Session) Cursor() Cursor {
	return Cursor{startedMs(s.Summary.Started), s.Summary.ID}
}

// Compare orders places as the list does: it is negative where c comes before
// other, 0 where they are the same. The zero value comes before all.
func (c Cursor) Compare(other Cursor) int {
	switch {
	case c == other:
		return 0
	case c.id == "":
		return -1
	case other.id == "":
		return 1
	}
	return cmp.Or(cmp.Compare(other.started, c.started), strings.Compare(other.id, c.id))
}

// startedMs is when a session started, in ms since 1970-01-01 UTC. Sessions
// without a date come last in the list, so they count as the very oldest.
func startedMs(started *time.Time) int64 {
	if started == nil {
		return 0
	}
	return started.UnixMilli()
}

// String returns the form that ParseCursor reads.
func (c Cursor) String() string {
	if c.id == "" {
		return ""
	}
	return strconv.FormatInt(c.started, 10) + "." + c.id
}

// ParseCursor reads a place from its text; empty text is the zero Cursor.
func ParseCursor(text string) (Cursor, error) {
	if text == "" {
		return Cursor{}, nil
	}
	ms, id, found := strings.Cut(text, ".")
	started, err := strconv.ParseInt(ms, 10, 64)
	if !found || err != nil || id == "" {
		return Cursor{}, &Invalid{"before", fmt.Sprintf("is %q, want the place that an earlier page ended with", text)}
	}
	return Cursor{started, id}, nil
}
