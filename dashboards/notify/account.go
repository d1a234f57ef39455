package notify

import (
	"context"
	"errors"
	"math/rand/v2"
	"time"
)

// account is what is going on with one target. All but work belongs to the
// goroutine that holds the ledger.
type account struct {
	name   string
	target Target
	jobs   chan *Notification

	busy      *delivery // being tried
	failures  int       // in a row
	notBefore time.Time
	trouble   error // of the last try; nil if it went well
	counts    map[string]uint64
}

// result is how a try came out.
type result struct {
	of  *account
	err error
}

// What may become of a message, as counted.
const (
	delivered = "delivered"
	failed    = "failed"
	givenUp   = "given-up"
	heldBack  = "held-back"
)

// noneYet counts nothing of everything: a rule that watches a counter rise sees no rise
// in one that is only there once it has risen.
func noneYet() map[string]uint64 {
	return map[string]uint64{delivered: 0, failed: 0, givenUp: 0, heldBack: 0}
}

// The longest pause between two tries, so that a message arrives within a minute
// once the way is open again, even if the last try before hung for sendLimit.
const longestPause = 40 * time.Second

func newAccount(name string, t Target) *account {
	return &account{name: name, target: t, jobs: make(chan *Notification, 1), counts: noneYet()}
}

// work sends what it is given until the context ends.
func (a *account) work(ctx context.Context, results chan<- result) {
	for {
		select {
		case <-ctx.Done():
			return
		case n := <-a.jobs:
			try, cancel := context.WithTimeout(ctx, limitOf(a.target))
			err := a.target.Send(try, n)
			cancel()
			if ctx.Err() != nil {
				return // it was cut off, which says nothing
			}
			results <- result{a, err}
		}
	}
}

// assign gives an idle target what it has to send next. In the last moments nothing
// that failed before is tried again.
func (a *account) assign(l *ledger, now time.Time, last bool) {
	if a.busy != nil || now.Before(a.notBefore) || last && a.failures > 0 {
		return
	}
	if d := l.next(a.name); d != nil {
		a.busy = d
		n := d.Note // the copy shares what nobody changes any more
		a.jobs <- &n
	}
}

// wake is when the target can do something again, zero if it has nothing to do.
func (a *account) wake(l *ledger) time.Time {
	if a.busy != nil || l.next(a.name) == nil {
		return time.Time{}
	}
	return a.notBefore
}

// pause is how long to wait after so many failures: 1, 2, 4 s and so on, spread a
// little so that several programs do not come back all at once.
func pause(failures int) time.Duration {
	p := min(time.Second<<min(failures-1, 10), longestPause)
	return p - time.Duration(rand.Int64N(int64(p/4)+1))
}

// settle takes how a try came out.
func (c *Center) settle(r result) {
	a, d, now := r.of, r.of.busy, c.now()
	a.busy, a.trouble = nil, r.err
	if errors.Is(r.err, errPartly) {
		c.log.Warn("a notification is delivered, but not to all", "target", a.name, "title", d.Note.Title, "error", r.err)
		r.err = nil
	}
	if r.err == nil {
		if a.failures > 0 {
			c.log.Info("notifications arrive again", "target", a.name)
		}
		a.failures, a.notBefore = 0, time.Time{}
		a.counts[delivered]++
		c.ledger.drop(d, a.name)
		return
	}
	a.failures++
	a.counts[failed]++
	a.notBefore = now.Add(pause(a.failures))
	if a.failures == 1 {
		c.log.Warn("a notification did not get through; it is tried again for a day", "target", a.name, "title", d.Note.Title, "error", r.err)
	}
	if errors.Is(r.err, errRefused) {
		c.ledger.postpone(d)
	}
}

// expire gives up what was tried for a day.
func (c *Center) expire(now time.Time) {
	for _, a := range c.targets {
		for d := c.ledger.next(a.name); d != nil && a.busy != d && now.Sub(d.since) > stale; d = c.ledger.next(a.name) {
			c.log.Error("a notification was given up: it did not get through for a day", "target", a.name, "title", d.Note.Title)
			a.counts[givenUp]++
			c.ledger.drop(d, a.name)
		}
	}
}
