package capture

import (
	"sync"
	"time"
)

// Clock is the time at the edge. Only this package and the program's wiring
// hold one.
type Clock interface {
	// Wall is the time of day. It may be wrong, and it may jump.
	Wall() time.Time
	// Boot counts from the boot of the host, through suspend too, and never
	// jumps. It means nothing beside that of another boot, see BootID.
	Boot() time.Duration
}

// earliest is before anything this program can have recorded: a wall clock that
// says less was never set since the host, which has no battery for it, started.
var earliest = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)

// ClockSet says whether a wall time can be believed at all: a host without a
// battery for its clock starts in 1970 until the network sets it.
func ClockSet(wall time.Time) bool { return wall.After(earliest) }

// ManualClock is a clock that only moves when told, for tests.
type ManualClock struct {
	mu   sync.Mutex
	wall time.Time
	boot time.Duration
}

// NewManualClock starts at a wall time, a minute after boot.
func NewManualClock(wall time.Time) *ManualClock {
	return &ManualClock{wall: wall, boot: time.Minute}
}

// Wall is the time of day as it was told.
func (c *ManualClock) Wall() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.wall
}

// Boot is the time since boot as it was told.
func (c *ManualClock) Boot() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.boot
}

// Advance lets time pass, awake or asleep.
func (c *ManualClock) Advance(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.wall, c.boot = c.wall.Add(d), c.boot+d
}

// Step sets the wall clock forward or back, as the network does; no time passes.
func (c *ManualClock) Step(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.wall = c.wall.Add(d)
}
