package notify

import (
	"context"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"
)

// Options are what a Center is made of.
type Options struct {
	Dir     string // where it keeps what was told; of nobody else
	Targets []Target
	Rules   Rules
	Now     func() time.Time     // in the zone of the quiet hours; time.Now where nil
	Passed  func() time.Duration // since some moment, however the clock is set; nil where Now is
	Log     *slog.Logger         // nil for nobody
}

// Center takes what happens and tells it. One goroutine holds its ledger; one for
// each target does the sending, so that a dead one holds up nobody else.
type Center struct {
	dir     string
	clock   clock
	log     *slog.Logger
	ledger  *ledger
	targets []*account
	crashed bool

	events  chan Batch
	dropped atomic.Uint64
	results chan result
	status  atomic.Pointer[Status]

	closing chan struct{}
	stop    context.CancelFunc
	done    sync.WaitGroup
	closed  sync.Once

	unwritten bool // the disk refused the ledger
	retry     time.Time
	lastAck   time.Time
	acks      []string // files of those that were taken, until that is noted
}

const (
	// mostEvents is how many records' events may wait for the ledger.
	mostEvents = 4096
	saveRetry  = 10 * time.Second
	// ackEvery is how often is looked for acknowledgements where one is wanted.
	ackEvery = 5 * time.Second
	// lastWords is how long a clean stop may take to deliver what has just happened.
	lastWords = 1500 * time.Millisecond
)

// Open reads what was told already and begins to send what was not.
func Open(o Options) *Center {
	c := &Center{
		dir: o.Dir, clock: clock{wall: o.Now, boot: o.Passed}, log: o.Log,
		events: make(chan Batch, mostEvents), results: make(chan result, len(o.Targets)), closing: make(chan struct{}),
	}
	if c.clock.wall == nil {
		c.clock.wall = time.Now
	}
	if began := time.Now(); c.clock.boot == nil {
		c.clock.boot = func() time.Duration { return time.Since(began) }
	}
	if c.log == nil {
		c.log = slog.New(slog.DiscardHandler)
	}
	l, err := load(c.dir, c.now())
	if err != nil {
		c.log.Error("notifications: their record is not sound", "error", err)
	}
	c.ledger, l.rules, c.crashed = l, o.Rules, l.Up
	l.Up, l.dirty = true, true
	ctx, stop := context.WithCancel(context.Background())
	c.stop = stop
	names := Names(o.Targets)
	for k, t := range o.Targets {
		c.targets = append(c.targets, newAccount(names[k], t))
	}
	l.forgetTargets(names)
	c.save()
	c.show()
	for _, a := range c.targets {
		c.done.Go(func() { a.work(ctx, c.results) })
	}
	c.done.Go(func() { c.run(ctx) })
	return c
}

// Crashed reports whether the program was last stopped by a crash.
func (c *Center) Crashed() bool { return c.crashed }

// Tell hands over what happened. It never waits: beyond 4096 batches that nobody
// has taken, they are dropped and counted.
func (c *Center) Tell(b Batch) {
	select {
	case c.events <- b:
	default:
		c.dropped.Add(1)
	}
}

// Close tells what has just happened, for a moment at most, and stops. What did
// not get through is told after the next start.
func (c *Center) Close() {
	c.closed.Do(func() {
		close(c.closing)
		c.done.Wait()
	})
}

// run holds the ledger until the center is closed.
func (c *Center) run(ctx context.Context) {
	defer c.stop()
	timer := time.NewTimer(0)
	defer timer.Stop()
	closing, end := c.closing, (<-chan time.Time)(nil)
	for {
		select {
		case <-ctx.Done(): // as if it had been killed
			return
		case b := <-c.events:
			c.take(b)
		case r := <-c.results:
			c.settle(r)
		case <-timer.C:
		case <-closing:
			closing, end = nil, time.After(lastWords)
		case <-end:
			c.finish()
			return
		}
		last := closing == nil
		c.turn(last)
		if last && !c.hopeful() {
			c.finish()
			return
		}
		timer.Reset(c.sleep(last))
	}
}

// take observes a batch and all that came along with it.
func (c *Center) take(b Batch) {
	now := c.now()
	for {
		c.ledger.observe(&b, now)
		select {
		case b = <-c.events:
		default:
			return
		}
	}
}

// turn makes messages of what is due, puts them down, and has them sent. Nothing
// is sent before it is on the disk, unless the disk refuses.
func (c *Center) turn(last bool) {
	now := c.now()
	c.acknowledge(now)
	c.ledger.turn(now)
	switch at := c.ledger.due(now, last); {
	case at.IsZero():
	case at.After(now):
		c.countHeld(now, at)
	default:
		c.ledger.compose(c.names(), now)
	}
	c.expire(now)
	c.save()
	c.forgetAcks()
	for _, a := range c.targets {
		a.assign(c.ledger, now, last)
	}
	c.show()
}

// hopeful reports whether a stop should still wait for a moment: something was not
// tried yet, or is being tried.
func (c *Center) hopeful() bool {
	for _, a := range c.targets {
		if a.busy != nil {
			return true
		}
	}
	return len(c.events) > 0
}

func (c *Center) finish() {
	c.ledger.Up, c.ledger.dirty = false, true
	c.retry = time.Time{}
	c.save()
}

// save puts the ledger down where something in it must outlast a crash. A disk that
// refuses does not keep anybody from being told.
func (c *Center) save() {
	if !c.ledger.dirty || c.now().Before(c.retry) {
		return
	}
	err := c.ledger.save(c.dir)
	switch {
	case err != nil && !c.unwritten:
		c.log.Error("notifications: they go on, but a restart may tell something twice", "error", err)
	case err == nil && c.unwritten:
		c.log.Info("notifications: what was told can be written down again")
	}
	c.unwritten, c.retry = err != nil, time.Time{}
	if err != nil {
		c.retry = c.now().Add(saveRetry)
	}
}

// sleep is how long there is nothing to do; in the last moments until a try comes
// out.
func (c *Center) sleep(last bool) time.Duration {
	if last {
		return lastWords
	}
	now := c.now()
	at := c.ledger.wake(now)
	for _, a := range c.targets {
		at = earlier(at, a.wake(c.ledger))
	}
	at = earlier(at, c.retry)
	if c.ledger.wantsAck() {
		at = earlier(at, c.lastAck.Add(ackEvery))
	}
	if at.IsZero() {
		return time.Hour
	}
	return min(max(at.Sub(now), 0), time.Hour)
}

// countHeld counts what has to wait for the limit of messages an hour, and says so where
// that begins.
func (c *Center) countHeld(now, until time.Time) {
	if !c.ledger.Budget.Held || !until.After(c.ledger.first.Add(group)) {
		return // it waits for company only
	}
	began, n := !c.ledger.waits((*Event).wasHeld), c.ledger.hold(now)
	for _, a := range c.targets {
		a.counts[heldBack] += uint64(n)
	}
	if began && n > 0 {
		c.log.Warn("notifications: there are more than 12 in an hour; what comes now waits and is told together, an alarm after a minute at most", "until", until)
	}
}

func (c *Center) names() []string {
	names := make([]string, len(c.targets))
	for k, a := range c.targets {
		names[k] = a.name
	}
	return names
}
