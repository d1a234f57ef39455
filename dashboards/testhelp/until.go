package testhelp

import (
	"testing"
	"time"
)

// Until waits for something to become true, a minute at most. It is for what others do
// in their own time, a process or the kernel, where there is no clock to simulate.
func Until(t testing.TB, what string, true func() bool) {
	t.Helper()
	for limit := time.Now().Add(time.Minute); time.Now().Before(limit); time.Sleep(5 * time.Millisecond) {
		if true() {
			return
		}
	}
	t.Fatalf("in vain waited for: %s", what)
}
