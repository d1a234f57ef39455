package daemon

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"time"

	"amphora/analyze/logbook"
)

// bookkeeper writes sessions to the logbook beside the recording, so that a slow
// or locked book never holds up a line. Of one session only the latest version
// waits, so the queue cannot grow.
type bookkeeper struct {
	book *logbook.Book
	log  *slog.Logger

	mu      sync.Mutex
	waiting map[string]entry
	order   []string
	version int                     // of the newest entry
	asked   []func(context.Context) // once nothing waits
	wake    chan struct{}
	failing error // why the book could not be written the last time; nil where it could
}

// entry is a session to be written, or to be taken out.
type entry struct {
	session logbook.Session
	drop    bool
	version int // counted over all entries: two summaries of a session may differ in anything
}

const (
	bookRetry = 5 * time.Second
	bookLimit = 4 * time.Second // for what is left when the daemon stops
)

func newBookkeeper(book *logbook.Book, log *slog.Logger) *bookkeeper {
	return &bookkeeper{book: book, log: log, waiting: make(map[string]entry), wake: make(chan struct{}, 1)}
}

func (b *bookkeeper) put(s logbook.Session) { b.add(s.Summary.ID, entry{session: s}) }

// drop takes out a session that turned out to be none, or goes by another name.
func (b *bookkeeper) drop(id string) { b.add(id, entry{drop: true}) }

func (b *bookkeeper) add(id string, e entry) {
	b.mu.Lock()
	if _, is := b.waiting[id]; !is {
		b.order = append(b.order, id)
	}
	b.version++
	e.version = b.version
	b.waiting[id] = e
	b.mu.Unlock()
	b.again()
}

// then asks something of the book once all that waits now is in it. A book that
// cannot be written answers later, or not at all.
func (b *bookkeeper) then(ask func(context.Context)) {
	b.mu.Lock()
	b.asked = append(b.asked, ask)
	b.mu.Unlock()
	b.again()
}

// answer asks what was to be asked. It is false where something has come meanwhile that
// must be in the book before.
func (b *bookkeeper) answer(ctx context.Context) bool {
	b.mu.Lock()
	if len(b.order) > 0 {
		b.mu.Unlock()
		return false
	}
	asked := b.asked
	b.asked = nil
	b.mu.Unlock()
	for _, ask := range asked {
		ask(ctx)
	}
	return true
}

func (b *bookkeeper) take() (string, entry, bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.order) == 0 {
		return "", entry{}, false
	}
	id := b.order[0]
	return id, b.waiting[id], true
}

// done forgets a written entry, unless a newer version came meanwhile.
func (b *bookkeeper) done(id string, written entry) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.order = b.order[1:]
	if b.waiting[id].version == written.version {
		delete(b.waiting, id)
		return
	}
	b.order = append(b.order, id)
}

// run writes until the context ends, then writes what is left, for a while. So long
// has a write that is under way then, too: one that is cut short may come back as a
// fault, and keeps the book from being closed in good order.
func (b *bookkeeper) run(ctx context.Context) {
	last, cancel := context.WithCancel(context.WithoutCancel(ctx))
	defer cancel()
	defer context.AfterFunc(ctx, func() { time.AfterFunc(bookLimit, cancel) })()
	for {
		select {
		case <-ctx.Done():
			b.writeAll(last)
			return
		case <-b.wake:
			if !b.writeAll(last) {
				select {
				case <-ctx.Done():
				case <-time.After(bookRetry):
				}
				b.again()
			}
		}
	}
}

func (b *bookkeeper) again() {
	select {
	case b.wake <- struct{}{}:
	default:
	}
}

// writeAll reports whether everything was written.
func (b *bookkeeper) writeAll(ctx context.Context) bool {
	for {
		id, e, ok := b.take()
		if !ok {
			if b.answer(ctx) {
				return true
			}
			continue
		}
		if err := b.write(ctx, id, e); err != nil {
			if b.trouble() == nil {
				b.log.Error("the logbook cannot be written; what was found waits in memory, and the journal has every line", "error", err)
			}
			b.went(err)
			return false
		}
		if b.trouble() != nil {
			b.went(nil)
			b.log.Info("the logbook can be written again")
		}
		b.done(id, e)
	}
}

// trouble is why the book cannot be written at present; nil where it can.
func (b *bookkeeper) trouble() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.failing
}

// went notes how a writing went.
func (b *bookkeeper) went(err error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.failing = err
}

func (b *bookkeeper) write(ctx context.Context, id string, e entry) error {
	if e.drop {
		if err := b.book.DropSession(ctx, id); err != nil && !errors.Is(err, logbook.ErrNotFound) {
			return err
		}
		return nil
	}
	return b.book.PutSession(ctx, e.session)
}
