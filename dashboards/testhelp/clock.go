package testhelp

import (
	"sync"
	"time"
)

// Clock is a clock, of day and since boot, that only moves when told.
type Clock struct {
	mu    sync.Mutex
	wall  time.Time
	boot  time.Duration
	slept time.Duration
}

// NewClock starts at a wall time, a minute after boot.
func NewClock(wall time.Time) *Clock {
	return &Clock{wall: wall, boot: time.Minute}
}

// Wall is the time of day as it was told.
func (c *Clock) Wall() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.wall
}

// Boot is the time since boot as it was told.
func (c *Clock) Boot() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.boot
}

// Awake is the time since boot in which the host did not sleep.
func (c *Clock) Awake() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.boot - c.slept
}

// Sleep suspends the host for a time.
func (c *Clock) Sleep(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.wall, c.boot, c.slept = c.wall.Add(d), c.boot+d, c.slept+d
}

// Advance lets time pass.
func (c *Clock) Advance(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.wall, c.boot = c.wall.Add(d), c.boot+d
}

// Step sets the wall clock forward or back, as the network does; no time passes.
func (c *Clock) Step(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.wall = c.wall.Add(d)
}
