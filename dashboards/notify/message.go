package notify

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"amphora/analyze"
)

// Notification is one message: a title, what it says, and what it is about.
type Notification struct {
	ID       string           `json:"id"` // the same over all tries
	Title    string           `json:"title"`
	Message  string           `json:"message"`
	Severity analyze.Severity `json:"severity"` // the worst of the events; that something cleared is a note
	At       time.Time        `json:"at"`
	Events   []Event          `json:"events"`
	// Sessions are the charges concerned, as they stood.
	Sessions []analyze.Session `json:"sessions"`
}

// mostLines is how many events a message spells out.
const mostLines = 20

// newNotification makes one message of events. lost counts those that could not
// wait, and held says that these had to, for the limit of messages an hour.
func newNotification(events []Event, lost int, held bool, now time.Time) Notification {
	n := Notification{At: now.UTC(), Severity: analyze.Note, Sessions: []analyze.Session{}}
	if len(events) > mostLines { // the least of them are not spelt out
		events = slices.Clone(events)
		slices.SortStableFunc(events, func(a, b Event) int {
			switch {
			case a.worse(&b):
				return -1
			case b.worse(&a):
				return 1
			}
			return 0
		})
	}
	var ids, lines []string
	for _, e := range events {
		ids = append(ids, e.ID)
		if e.Kind != Cleared && e.Severity.Worse(n.Severity) {
			n.Severity = e.Severity
		}
		n.add(e.Summary)
		e.Summary, e.Episode = nil, ""
		n.Events = append(n.Events, e)
		if len(lines) < mostLines {
			lines = append(lines, e.line(now))
		}
	}
	n.ID = digest(ids...)
	n.Title = worst(events).title()
	count := len(events) + lost
	switch {
	case held && count > 1:
		n.Title = fmt.Sprintf("%d held back: %s, and others", count, n.Title)
	case count > 1:
		n.Title = fmt.Sprintf("%s, and %d more", n.Title, count-1)
	}
	if more := count - len(lines); more > 0 {
		lines = append(lines, fmt.Sprintf("and %d more", more))
	}
	n.Message = strings.Join(lines, "\n")
	if len(events) == 1 && events[0].Message != "" {
		n.Message = clean(events[0].Message)
	}
	return n
}

// add puts in a session, in place of an older view of it.
func (n *Notification) add(s *analyze.Session) {
	if s == nil {
		return
	}
	for k := range n.Sessions {
		if n.Sessions[k].ID == s.ID {
			n.Sessions[k] = *s
			return
		}
	}
	n.Sessions = append(n.Sessions, *s)
}

// worse reports whether an event belongs in front of another.
func (e *Event) worse(o *Event) bool {
	if (e.Kind == Cleared) != (o.Kind == Cleared) {
		return o.Kind == Cleared
	}
	return e.Severity.Worse(o.Severity)
}

// worst is the event that belongs in front of all others, of equals the first.
func worst(events []Event) *Event {
	first := &events[0]
	for k := range events {
		if events[k].worse(first) {
			first = &events[k]
		}
	}
	return first
}

// where is the channel with its battery.
func (e *Event) where() string {
	if e.Battery == "" {
		return clean(e.Channel)
	}
	return clean(fmt.Sprintf("%s (%s)", e.Channel, e.Battery))
}

func (e *Event) title() string {
	severity := string(e.Severity)
	if severity != "" {
		severity = strings.ToUpper(severity[:1]) + severity[1:]
	}
	what := strings.ReplaceAll(e.Code, "-", " ")
	switch e.Kind {
	case Complete:
		return "Charge complete: " + e.where()
	case Recovered:
		return "Recording again after a crash: " + e.where()
	case Trial:
		return "Test message of amphora"
	case Cleared:
		return fmt.Sprintf("Cleared: %s, %s", e.where(), what)
	case Repeated:
		return fmt.Sprintf("%s still holds: %s, %s", severity, e.where(), what)
	}
	return fmt.Sprintf("%s: %s, %s", severity, e.where(), what)
}

// line is the event among others.
func (e *Event) line(now time.Time) string {
	line := e.title()
	if analyze.Dated(e.At) {
		line = analyze.TimeOfDay(e.At.In(now.Location()), "15:04") + " " + line
	}
	if e.Message != "" && e.Kind != Cleared {
		line += ": " + clean(e.Message)
	}
	return line
}

// body is the notification as JSON.
func (n *Notification) body() ([]byte, error) {
	var b bytes.Buffer
	j := json.NewEncoder(&b)
	j.SetEscapeHTML(false)
	if err := j.Encode(n); err != nil {
		return nil, fmt.Errorf("write the message as JSON: %w", err)
	}
	return b.Bytes(), nil
}

// clean keeps what is printable, in one line: a message may hold what a device said.
func clean(text string) string {
	text = strings.ToValidUTF8(text, "\uFFFD")
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r <= ' ' || r >= 0x7f && r < 0xa0 || r == '\u2028' || r == '\u2029' }), " ")
}
