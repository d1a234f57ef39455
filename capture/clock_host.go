package capture

import (
	"os"
	"sync"
	"time"
)

// SystemClock is the host's clock. This file is all that asks for the time of day and for
// the boot; a test may build the program with another in its place.
type SystemClock struct{}

// Wall is the host's time of day in UTC, without the monotonic reading that would hide
// its jumps from Sub. On a host that began with a kept date it is one of 1970 until that
// clock is set, or for ten minutes.
func (SystemClock) Wall() time.Time { return hostDate().wall(timeOfDay(), sinceBoot()) }

var hostDate = sync.OnceValue(func() *keptDate {
	return newKeptDate(os.DirFS("/"), timeOfDay(), sinceBoot())
})

func timeOfDay() time.Time { return time.Now().Round(0).UTC() }

// Boot is the time since the host's boot.
func (SystemClock) Boot() time.Duration { return sinceBoot() }

// Awake is the time since then in which the host was awake.
func (SystemClock) Awake() time.Duration { return sinceBootAwake() }

// BootID names this boot of the host: stamps of Clock.Boot can be compared while it
// stays the same, also across restarts of the program.
func BootID() string { return bootID() }
