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
	// Assigned says that a person said afterwards of which battery it was. Only a
	// session that is assigned itself is written over it.
	Assigned bool
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
	// mostWords bounds a search: each word looks at every session once more.
	mostWords = 10
)

// Filter says which sessions to list, and in which order. Its zero value takes the
// newest page.
type Filter struct {
	Battery string          // this one only, unless empty
	Channel string          // this one only, unless empty
	Outcome analyze.Outcome // this one only, unless empty
	// Text holds words that must all occur: in the battery, the channel, the
	// identity, the outcome, a finding or a note. Small and capital letters of
	// English count as the same.
	Text         string
	Since, Until time.Time // started in this stretch, the end excluded; zero for no bound
	Order        Order
	Limit        int    // DefaultPage if 0, LongestPage at most
	Before       Cursor // after this place of the list, which is older where the newest come first
}

// Order is an order of sessions. The zero value is the newest first.
type Order struct {
	By     OrderBy
	Rising bool // the oldest, the least, or A first
}

// OrderBy is by what sessions are put in order; equal ones are, the newest first.
type OrderBy string

// Orders.
const (
	ByStart   OrderBy = ""
	ByBattery OrderBy = "battery"
	ByOutcome OrderBy = "outcome"
	ByCharge  OrderBy = "charge"
	ByLength  OrderBy = "length" // from the start of the charge to its end
)

// newestFirst reports whether the list runs by its cursors.
func (o Order) newestFirst() bool { return o == Order{} }

func (f Filter) checked() (Filter, error) {
	if f.Limit == 0 {
		f.Limit = DefaultPage
	}
	if f.Limit < 1 || f.Limit > LongestPage {
		return f, &Invalid{"limit", fmt.Sprintf("is %d, want 1 to %d", f.Limit, LongestPage)}
	}
	if _, known := orders[f.Order.By]; !known {
		return f, &Invalid{"sort", fmt.Sprintf("is %q, want battery, outcome, charge or length", f.Order.By)}
	}
	if len(strings.Fields(f.Text)) > mostWords {
		return f, &Invalid{"text", fmt.Sprintf("has more than %d words", mostWords)}
	}
	return f, nil
}

// Cursor is a place in a list of sessions. Its zero value is the place before the
// first. In the list that begins with the newest, it is that of a session, so that
// new ones move nothing; in lists of another order, it counts.
type Cursor struct {
	started int64 // ms since 1970-01-01 UTC, 0 where the log knows no date
	id      string
	passed  int // how many came before it, in lists of another order
}

// Cursor returns the session's own place in the list.
func (s Session) Cursor() Cursor {
	return Cursor{started: startedMs(s.Summary.Started), id: s.Summary.ID}
}

// Next returns the place that the next page begins behind: page is what the filter
// has found, and not empty.
func (f Filter) Next(page []Session) Cursor {
	if f.Order.newestFirst() {
		return page[len(page)-1].Cursor()
	}
	return Cursor{passed: f.Before.passed + len(page)}
}

// Compare orders places as the list does that begins with the newest: it is
// negative where c comes before other, 0 where they are the same. The zero value
// comes before all.
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
	switch {
	case c.passed > 0:
		return passedMark + strconv.Itoa(c.passed)
	case c.id == "":
		return ""
	}
	return strconv.FormatInt(c.started, 10) + "." + c.id
}

// ParseCursor reads a place from its text; empty text is the zero Cursor.
func ParseCursor(text string) (Cursor, error) {
	if text == "" {
		return Cursor{}, nil
	}
	if number, counts := strings.CutPrefix(text, passedMark); counts {
		passed, err := strconv.ParseUint(number, 10, 31)
		if err != nil || passed == 0 {
			return Cursor{}, noPlace(text)
		}
		return Cursor{passed: int(passed)}, nil
	}
	ms, id, found := strings.Cut(text, ".")
	started, err := strconv.ParseInt(ms, 10, 64)
	if !found || err != nil || id == "" {
		return Cursor{}, noPlace(text)
	}
	return Cursor{started: started, id: id}, nil
}

// passedMark begins the text of a place that counts.
const passedMark = "after-"

func noPlace(text string) error {
	return &Invalid{"before", fmt.Sprintf("is %q, want the place that an earlier page ended with or, where the newest come first, the ID of a charge or a time like 2026-03-14T21:40:00Z", text)}
}
