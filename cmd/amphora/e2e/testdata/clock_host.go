package capture

import (
	"fmt"
	"os"
	"sync"
	"sync/atomic"
	"time"
	"unsafe"

	"golang.org/x/sys/unix"
)

// This file stands in for capture/clock_host.go in the program that a soak builds: a
// host whose clock somebody moves while the program runs. How far it is off the real
// one stands in a file.

// away is how far the host is from the real one.
type away struct{ wall, boot, boots atomic.Int64 } // ns, ns, count

var host = sync.OnceValue(func() *away {
	const size = int(unsafe.Sizeof(away{}))
	f, err := os.Open(os.Getenv("SOAK_CLOCK"))
	if err != nil {
		panic(err)
	}
	defer f.Close()
	memory, err := unix.Mmap(int(f.Fd()), 0, size, unix.PROT_READ, unix.MAP_SHARED)
	if err != nil {
		panic(err)
	}
	return (*away)(unsafe.Pointer(&memory[0]))
})

// SystemClock is the clock of that host.
type SystemClock struct{}

// Wall is its time of day.
func (SystemClock) Wall() time.Time {
	return time.Now().Round(0).UTC().Add(time.Duration(host().wall.Load()))
}

// Boot is the time since its boot.
func (SystemClock) Boot() time.Duration { return sinceBoot() + time.Duration(host().boot.Load()) }

// Awake is the time in which it did not sleep; only its sleep moves Boot beside it.
func (SystemClock) Awake() time.Duration { return sinceBootAwake() }

// BootID names its boot.
func BootID() string { return fmt.Sprintf("%s-%d", bootID(), host().boots.Load()) }
