package testhelp

import (
	"net"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// Serve listens on a port of its own and hands each connection to a goroutine. A
// connection is closed when talk returns, and all of them with the test, which waits
// for their talk to end.
func Serve(t testing.TB, talk func(net.Conn)) (address string) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	var (
		mu      sync.Mutex
		open    = map[net.Conn]bool{}
		over    bool
		talking sync.WaitGroup
	)
	talking.Go(func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			mu.Lock()
			open[c] = true
			if over {
				_ = c.Close()
			}
			mu.Unlock()
			talking.Go(func() {
				defer c.Close()
				talk(c)
			})
		}
	})
	t.Cleanup(func() {
		_ = l.Close()
		mu.Lock()
		over = true
		for c := range open {
			_ = c.Close() // perhaps a second time
		}
		mu.Unlock()
		talking.Wait()
	})
	return l.Addr().String()
}
