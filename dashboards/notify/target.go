package notify

import (
	"context"
	"errors"
	"strconv"
	"time"

	"amphora/analyze"
)

// Target is somebody who is told. Send is called by one goroutine at a time. What
// its errors say must be fit for a log: no secret, of an address only the host.
type Target interface {
	Name() string
	Send(ctx context.Context, n *Notification) error
}

// errRefused marks that the receiver is there and does not want this message.
var errRefused = errors.New("refused")

// errPartly marks a message that is delivered, though not to all: sent again, the others
// would have it twice.
var errPartly = errors.New("not everybody got it")

// sendLimit is how long one try may take. Commands have a longer one of their own.
const sendLimit = 10 * time.Second

// limited is a target that needs another limit.
type limited interface{ limit() time.Duration }

func limitOf(t Target) time.Duration {
	if l, ok := t.(limited); ok {
		return l.limit()
	}
	return sendLimit
}

// Try sends a test message to a target.
func Try(ctx context.Context, t Target, now time.Time) error {
	ctx, cancel := context.WithTimeout(ctx, limitOf(t))
	defer cancel()
	e := Event{Kind: Trial, Code: string(Trial), Severity: analyze.Note, At: now.UTC(), Message: "If you can read this, messages of charges will reach you here."}
	e.ID = digest(string(Trial), now.UTC().Format(time.RFC3339Nano))
	n := newNotification([]Event{e}, 0, false, now)
	return t.Send(ctx, &n)
}

// Names returns the names of targets, made to differ in their order, so that each keeps
// its own account and people can tell which one is meant.
func Names(targets []Target) []string {
	names, taken := make([]string, len(targets)), map[string]int{}
	for k, t := range targets {
		name := t.Name()
		taken[name]++
		if n := taken[name]; n > 1 {
			name += " " + strconv.Itoa(n)
		}
		names[k] = name
	}
	return names
}
