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

// BootID names this boot of the host: stamps of Clock.Boot can be compared
// while it stays the same.
var BootID = sync.OnceValue(processBoot)
