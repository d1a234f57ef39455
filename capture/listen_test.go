package capture

import (
	"context"
	"os"
	"runtime"
	"runtime/pprof"
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

// settled waits for the goroutines of the tests to end, and shows those that do not.
func settled() bool {
	for range 200 {
		if runtime.NumGoroutine() <= 1 {
			return true
		}
		time.Sleep(10 * time.Millisecond)
	}
	_ = pprof.Lookup("goroutine").WriteTo(os.Stderr, 1)
	return false
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
	if !assert.Eventually(l.t, enough, 10*time.Second, time.Millisecond) {
		require.Fail(l.t, "frames are missing", "want %d with flags %b, got %q", n, flags, l.texts(^Flags(0)))
	}
	return l.texts(flags)
}
