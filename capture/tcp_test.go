package capture

import (
	"context"
	"net"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// newBridge is the far end of a TCP source; it hands out its connections.
func newBridge(t *testing.T) (address string, conns <-chan net.Conn) {
	t.Helper()
	server, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	accepted := make(chan net.Conn, 10)
	go func() {
		defer close(accepted)
		for {
			conn, err := server.Accept()
			if err != nil {
				return
			}
			accepted <- conn
		}
	}()
	t.Cleanup(func() {
		server.Close()
		for conn := range accepted { // those that nobody took
			conn.Close()
		}
	})
	return server.Addr().String(), accepted
}

func TestTCPReadsAndReconnects(t *testing.T) {
	address, conns := newBridge(t)
	src, err := TCP{Address: address}.Source()
	src.Retry = Retry{Every: time.Millisecond, Long: time.Hour}
	l := listenTo(t, src, err)
	for i := range 3 {
		conn := <-conns
		_, err := conn.Write([]byte("alf\r\n13.8\r\n13."))
		require.NoError(t, err)
		l.wait(0, i+1)
		require.NoError(t, conn.Close())
		l.wait(Lost, i+1)
	}
	assert.Equal(t, []string{"13.8", "13.8", "13.8"}, l.texts(0))
	assert.Equal(t, []string{"alf", "13."}, l.texts(Fragment)[:2])
	assert.Contains(t, l.texts(Lost)[0], "closed the connection")
}

func TestTCPRefusedIsAState(t *testing.T) {
	server, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	address := server.Addr().String()
	require.NoError(t, server.Close())
	src, err := TCP{Address: address}.Source()
	src.Retry = Retry{Every: time.Millisecond, Long: time.Hour}
	l := listenTo(t, src, err)
	assert.Contains(t, l.wait(Lost, 1)[0], "refused")
	server, err = net.Listen("tcp", address)
	require.NoError(t, err)
	defer server.Close()
	l.wait(Opened, 1)
}

// TestTCPSlowListenerLosesNothing floods a Run whose emit is slow: the feeder
// has to wait, and every line arrives.
func TestTCPSlowListenerLosesNothing(t *testing.T) {
	address, conns := newBridge(t)
	src, err := TCP{Address: address}.Source()
	require.NoError(t, err)
	const lines = 100_000
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	got := 0
	done := make(chan error)
	go func() {
		done <- Run(ctx, src, SystemClock{}, func(f Frame) error {
			if string(f.Text) == "13.741,3.359" {
				got++
			}
			if got == lines {
				stop()
			}
			if got%10_000 == 0 {
				time.Sleep(5 * time.Millisecond) // the slow listener is what is tested
			}
			return nil
		})
	}()
	conn := <-conns
	defer conn.Close()
	_, err = conn.Write([]byte("\n" + strings.Repeat("13.741,3.359\n", lines)))
	require.NoError(t, err)
	assert.ErrorIs(t, <-done, context.Canceled)
	assert.Equal(t, lines, got)
}

func TestTCPAddressIsChecked(t *testing.T) {
	for _, address := range []string{"", "bridge", ":4001", "bridge:"} {
		_, err := TCP{Address: address}.Source()
		assert.ErrorContains(t, err, "host:port", address)
	}
	src, err := TCP{Address: "bridge:4001"}.Source()
	require.NoError(t, err)
	assert.Equal(t, 30*time.Second, src.Silence)
}
