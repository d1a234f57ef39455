package journal

import (
	"fmt"
	"time"

	"amphora/capture"
)

// What the writer tells the rest of the world, under the channel's lock.

func (c *Channel) claim(path string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.current = path
}

func (c *Channel) noteBusy(since time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.busySince = since
}

// whatIsWrong is the fault and since when it lasts, or that the disk neither
// fails nor answers: a failing card may hold up one call for minutes. The caller
// holds mu.
func (c *Channel) whatIsWrong() (since time.Time, fault error) {
	if c.fault != nil || c.busySince.IsZero() {
		return c.since, c.fault
	}
	if waited := time.Since(c.busySince); waited >= c.opt.RetryEvery {
		return c.busySince, fmt.Errorf("the disk has not answered for %s", capture.Spoken(waited))
	}
	return time.Time{}, nil
}

func (c *Channel) noteSynced(last uint64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.synced = last
	c.backlog.release(last)
	c.announce()
}

func (c *Channel) noteTry() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.tries++
}

// noteFault is loud once for each outage, not once for each try.
func (c *Channel) noteFault(err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	first := c.fault == nil
	c.fault = err
	c.tries++
	if first {
		c.since = time.Now()
		c.opt.Log.Error("journal cannot be written; lines are kept in memory until the disk is back",
			"channel", c.name, "error", err, "room_lines", c.backlog.maxLines, "retry", c.opt.RetryEvery)
	}
	c.announce()
}

func (c *Channel) noteWell() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.fault == nil {
		return
	}
	c.opt.Log.Warn("journal is written again", "channel", c.name,
		"away", time.Since(c.since).Round(time.Second), "lines_dropped_so_far", c.backlog.dropped)
	c.fault, c.since = nil, time.Time{}
	c.announce()
}
