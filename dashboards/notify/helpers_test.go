package notify

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"amphora/analyze"
)

// box is a target that keeps what it gets, unless it is told to be away.
type box struct {
	mu    sync.Mutex
	got   []Notification
	at    []time.Time
	tries int
	away  func(try int) error // nil: it is there
	hang  bool
}

func (b *box) Name() string { return "box" }

func (b *box) Send(ctx context.Context, n *Notification) error {
	b.mu.Lock()
	b.tries++
	away, hang, try := b.away, b.hang, b.tries
	b.mu.Unlock()
	if hang {
		<-ctx.Done()
		return ctx.Err()
	}
	if away != nil {
		if err := away(try); err != nil {
			return err
		}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.got, b.at = append(b.got, *n), append(b.at, time.Now())
	return nil
}

func (b *box) all() []Notification {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.got)
}

// when is when each of them came.
func (b *box) when() []time.Time {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.at)
}

func (b *box) set(away func(int) error, hang bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.away, b.hang = away, hang
}

func (b *box) titles() (titles []string) {
	for _, n := range b.all() {
		titles = append(titles, n.Title)
	}
	return titles
}

var errAway = errors.New("connection refused")

func away(int) error { return errAway }

// open starts a center over a folder; it is closed at the end of the test at the
// latest.
func open(t *testing.T, dir string, r Rules, targets ...Target) *Center {
	c := Open(Options{Dir: dir, Targets: targets, Rules: r})
	t.Cleanup(c.Close)
	return c
}

// crash ends a center as a SIGKILL would: nothing more is written down.
func crash(c *Center) {
	c.stop()
	c.closed.Do(func() {})
}

func raised(code string, s analyze.Severity) Event {
	return Event{Kind: Raised, Channel: "bench", Battery: "mower", Session: "bench-1", Episode: "bench-1", Code: code, Severity: s, Message: "evidence of " + code, At: time.Now()}
}

func cleared(code string) Event {
	e := raised(code, analyze.Note)
	e.Kind = Cleared
	return e
}

// tell hands events over as those of one record.
func tell(c *Center, seq uint64, events ...Event) {
	c.Tell(Batch{Channel: "bench", Seq: seq, Events: events})
}

func many(n int) (all []Event) {
	for k := range n {
		all = append(all, raised(fmt.Sprintf("code-%02d", k), analyze.Warning))
	}
	return all
}

// eventIDs are those of all events that messages tell, in order.
func eventIDs(all []Notification) (ids []string) {
	for _, n := range all {
		for _, e := range n.Events {
			ids = append(ids, e.ID)
		}
	}
	return ids
}
