//go:build !linux

package capture

import (
	"sync"
	"time"
)

var started = time.Now()

// sinceBoot counts from the start of the program on systems where no clock is
// known that counts from boot: each start is then a boot of its own.
func sinceBoot() time.Duration { return time.Since(started) }

// sinceBootAwake is the same: on these systems nobody knows whether the host slept.
func sinceBootAwake() time.Duration { return sinceBoot() }

// bootID is that of the program's start.
var bootID = sync.OnceValue(processBoot)
