package journal

import (
	"context"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"amphora/capture"
)

// Channel is the record of one source, open for writing. Its methods may be
// called from any goroutine.
type Channel struct {
	name string
	dir  string
	opt  Options

	written atomic.Uint64 // bytes handed to the disk

	mu      sync.Mutex
	backlog backlog
	synced  uint64    // records up to this number are durable
	wanted  uint64    // those up to this one are to be so at once
	fault   error     // why the disk is not in use; nil while it is
	since   time.Time // of the fault

	busySince time.Time // of the writer's present work; zero while it waits

	tries   uint64        // attempts that ended in a fault
	current string        // path of the segment being written, never compressed or removed
	changed chan struct{} // closed, and made anew, when synced or fault changes
	closed  bool

	wake chan struct{} // there is something to do
	stop chan struct{}
	done chan struct{}
}

func newChannel(j *Journal, name string, next uint64) *Channel {
	return &Channel{
		name:    name,
		dir:     channelDir(j.dir, name),
		opt:     j.opt,
		backlog: backlog{maxLines: j.opt.MaxLines, maxBytes: j.opt.MaxBytes, first: next},
		synced:  next - 1,
		changed: make(chan struct{}),
		wake:    make(chan struct{}, 1),
		stop:    make(chan struct{}),
		done:    make(chan struct{}),
	}
}

// Append takes one frame and returns its number. It copies the frame and never
// waits for the disk: the line is handed over at once by the channel's own
// goroutine and is durable SyncEvery later at the latest, or after Sync. The
// number is 0, and nothing is recorded, once the journal is closed.
func (c *Channel) Append(f capture.Frame) uint64 {
	c.mu.Lock()
	if c.closed {
		c.mu.Unlock()
		return 0
	}
	seq := c.backlog.push(&f)
	c.mu.Unlock()
	c.poke()
	return seq
}

func (c *Channel) poke() {
	select {
	case c.wake <- struct{}{}:
	default: // already awake
	}
}

// SyncSoon asks for a sync without waiting for it, for instance when a stage
// changes.
func (c *Channel) SyncSoon() {
	c.mu.Lock()
	c.wanted = c.backlog.next() - 1
	c.mu.Unlock()
	c.poke()
}

// Sync returns once all that was appended before is durable. A checkpoint that
// names a position is sound only after this. While the disk is away it returns
// the reason without waiting.
func (c *Channel) Sync(ctx context.Context) error {
	c.mu.Lock()
	target := c.backlog.next() - 1
	c.mu.Unlock()
	for {
		changed, err := c.want(target)
		if changed == nil {
			return err
		}
		c.poke()
		select {
		case <-changed:
		case <-c.done:
			if c.Health().Synced < target {
				return errClosed
			}
			return nil
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// want asks for records up to target to be made durable. It returns what to wait
// on, or nil and the outcome if there is one already.
func (c *Channel) want(target uint64) (<-chan struct{}, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	switch {
	case c.synced >= target:
		return nil, nil
	case c.fault != nil:
		return nil, fmt.Errorf("journal of channel %q is in memory only: %w", c.name, c.fault)
	}
	c.wanted = max(c.wanted, target)
	return c.changed, nil
}

// Health is how a channel is.
type Health struct {
	Fault   error     // why lines are in memory only; nil while all is well
	Since   time.Time // when that began; zero without a fault
	Faults  uint64    // attempts to write or sync that failed, since opening
	Pending int       // lines that are not durable yet
	Dropped uint64    // lines that memory had no room for: lost unless an earlier write reached the disk
	Next    uint64    // the number of the next record
	Synced  uint64    // records up to this number are durable
	Written uint64    // bytes handed to the disk since opening
}

// Health tells how the channel is.
func (c *Channel) Health() Health {
	c.mu.Lock()
	defer c.mu.Unlock()
	since, fault := c.whatIsWrong()
	return Health{
		Fault:   fault,
		Since:   since,
		Faults:  c.tries,
		Pending: c.backlog.len(),
		Dropped: c.backlog.dropped,
		Next:    c.backlog.next(),
		Synced:  c.synced,
		Written: c.written.Load(),
	}
}

func (c *Channel) close(ctx context.Context) error {
	c.mu.Lock()
	if !c.closed {
		c.closed = true
		close(c.stop)
	}
	c.mu.Unlock()
	select {
	case <-c.done:
	case <-ctx.Done():
		return fmt.Errorf("close journal channel %q: %w", c.name, ctx.Err())
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if n := c.backlog.len(); n > 0 {
		return fmt.Errorf("close journal channel %q: %d lines could not be saved: %w", c.name, n, c.fault)
	}
	return nil
}

// busy tells whether path is the segment being written.
func (c *Channel) busy(path string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.current == path
}

// announce wakes all who wait for a change. The caller holds mu.
func (c *Channel) announce() {
	close(c.changed)
	c.changed = make(chan struct{})
}
