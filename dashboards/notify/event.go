package notify

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"amphora/analyze"
)

// Kind names what an event is about.
type Kind string

// The kinds of events. Began and Ended are never told; they say which findings
// can no longer hold.
const (
	Raised    Kind = "raised"
	Cleared   Kind = "cleared"
	Repeated  Kind = "repeated" // an alarm that still holds and that nobody has acknowledged
	Complete  Kind = "complete" // a charge
	Recovered Kind = "recovered"
	Trial     Kind = "test"
	Began     Kind = "began"
	Ended     Kind = "ended"
)

// Event is one thing that happened on a channel.
type Event struct {
	ID       string           `json:"id"` // the same over all tries; filled in by the Center
	Kind     Kind             `json:"kind"`
	Channel  string           `json:"channel"`
	Battery  string           `json:"battery"`
	Session  string           `json:"session"` // a session's ID; empty outside of one
	Severity analyze.Severity `json:"severity"`
	Code     string           `json:"code"`
	Message  string           `json:"message"`
	At       time.Time        `json:"at"` // when it was seen

	// Episode tells occurrences of one code apart where each is to be told: of a
	// session, of the time after it, or empty where only time does.
	Episode string `json:"episode,omitempty"`
	// Summary is the session as it stands, or stood when something cleared; nil where there is none.
	Summary *analyze.Session `json:"summary,omitempty"`

	held bool // it had to wait for the limit of messages an hour, and was counted
}

// Batch is what one record of a channel's journal brought about. It is taken
// whole or not at all, also over a crash.
type Batch struct {
	Channel string
	// Seq is the number of that record, so that a replay tells nothing twice; 0
	// where no record is behind it.
	Seq    uint64
	Replay bool // told from the journal: what is old is of no interest any more
	Events []Event
}

// condition is where the event's condition is found.
func (e *Event) condition() string { return e.Channel + "\n" + e.Episode + "\n" + e.Code }

// identify gives an event the ID that it would get again after a crash.
func (e *Event) identify(n int) {
	e.ID = digest(e.Channel, e.Episode, e.Code, string(e.Kind), fmt.Sprint(n))
}

func digest(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d:%s", len(p), p)
	}
	return hex.EncodeToString(h.Sum(nil)[:12])
}

// urgent reports whether an event may break quiet hours.
func (e *Event) urgent() bool {
	return e.Severity == analyze.Alarm && (e.Kind == Raised || e.Kind == Repeated)
}

// news reports an alarm that nobody has heard of yet.
func (e *Event) news() bool { return e.Severity == analyze.Alarm && e.Kind == Raised }

func (e *Event) wasHeld() bool { return e.held }
