package capture

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestMain fails the package if a test leaves a goroutine behind.
func TestMain(m *testing.M) {
	code := m.Run()
	if code == 0 && !settled() {
		code = 1
	}
	os.Exit(code)
}

// settled waits for the goroutines that the tests started to end, and shows
// those that do not.
func settled() bool {
	var left []string
	for start := time.Now(); time.Since(start) < time.Minute; time.Sleep(10 * time.Millisecond) {
		if left = ours(); len(left) == 0 {
			return true
		}
	}
	fmt.Fprintln(os.Stderr, "left behind:\n"+strings.Join(left, "\n\n"))
	return false
}

// ours are the stacks of the goroutines that this package started.
func ours() []string {
	all := make([]byte, 1<<20)
	all = all[:runtime.Stack(all, true)]
	var found []string
	for stack := range strings.SplitSeq(string(all), "\n\n") {
		if strings.Contains(stack, "created by amphora/capture.") {
			found = append(found, stack)
		}
	}
	return found
}

// listening is a Run in the background.
type listening struct {
	record
	t    *testing.T
	stop context.CancelFunc
	done chan error
}

func listenTo(t *testing.T, src Source, err error) *listening {
	t.Helper()
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	l := &listening{t: t, stop: stop, done: make(chan error, 1)}
	go func() { l.done <- Run(ctx, src, SystemClock{}, l.emit) }()
	t.Cleanup(func() { l.end() })
	return l
}

// end stops it and gives what Run returned.
func (l *listening) end() error {
	l.stop()
	err := <-l.done
	l.done <- err
	return err
}

// wait polls until some frames with a flag (0: whole lines) number at least n.
func (l *listening) wait(flags Flags, n int) []string {
	l.t.Helper()
	enough := func() bool { return len(l.texts(flags)) >= n }
	if !assert.Eventually(l.t, enough, time.Minute, time.Millisecond) {
		require.Fail(l.t, "frames are missing", "want %d with flags %b, got %q", n, flags, l.texts(^Flags(0)))
	}
	return l.texts(flags)
}
