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
func sinceBoot() time.Duration {
	var t unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_BOOTTIME, &t); err != nil {
		// Every kernel since 2.6.39 has it; without it no interval can be told.
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
