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

// bootID is that of the program's start.
var bootID = sync.OnceValue(processBoot)
