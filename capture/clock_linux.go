package capture

import (
	"bytes"
	"os"
	"sync"
	"time"

	"golang.org/x/sys/unix"
)

// sinceBoot reads the clock that goes on while the host sleeps. Go's own
// monotonic clock stands still then, and would lose the hours of a suspend.
func sinceBoot() time.Duration { return readClock(unix.CLOCK_BOOTTIME) }

// sinceBootAwake reads the one that stands still meanwhile.
func sinceBootAwake() time.Duration { return readClock(unix.CLOCK_MONOTONIC) }

func readClock(id int32) time.Duration {
	var t unix.Timespec
	if err := unix.ClockGettime(id, &t); err != nil {
		// Every kernel since 2.6.39 has both; without them no interval can be told.
		panic("capture: this kernel has no boot clock: " + err.Error())
	}
	return time.Duration(t.Nano())
}

// bootID is what the kernel calls this boot.
var bootID = sync.OnceValue(func() string {
	id, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	if err != nil {
		return processBoot()
	}
	return string(bytes.TrimSpace(id))
})
