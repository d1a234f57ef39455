//go:build linux

package e2e

import (
	"fmt"
	"net"
	"syscall"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The program stands still for longer than its bridge may be silent, which talks on. What
// it said waits in the network, and is read: the connection is not taken for dead.
func TestFrozenBesideABridge(t *testing.T) {
	t.Parallel()
	stands := []time.Duration{3 * time.Second, 3 * time.Second, 3 * time.Second}
	if long {
		stands = append(stands, time.Minute)
	}
	bridge, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer bridge.Close()
	at := newPlace(t)
	at.channel(t, "bench", fmt.Sprintf("tcp: {address: %q, silence: 1s}", bridge.Addr()))
	p := serve(t, at.config)
	conn, err := bridge.Accept()
	require.NoError(t, err)
	defer conn.Close()
	_, err = fmt.Fprint(conn, "half a line\r\n")
	require.NoError(t, err)
	said := 0
	say := func(lasts time.Duration) {
		for end := time.Now().Add(lasts); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
			_, err := fmt.Fprintf(conn, "%.2f,12.500,2.000 #%d\r\n", float64(said)/100, said)
			require.NoError(t, err)
			said++
		}
	}
	say(3 * time.Second)
	for _, stand := range stands {
		require.NoError(t, p.cmd.Process.Signal(syscall.SIGSTOP))
		say(stand)
		require.NoError(t, p.cmd.Process.Signal(syscall.SIGCONT))
		say(time.Second)
	}
	testhelp.Until(t, "all lines", func() bool { return p.view("bench").Source.Lines >= said+1 })
	assert.Zero(t, p.view("bench").Source.Reconnects)
	p.stop()
	next := 0
	for _, r := range recorded(t, at.data, "bench") {
		var number int
		if _, err := fmt.Sscanf(r.text, "%f,12.500,2.000 #%d", new(float64), &number); err == nil {
			require.Equal(t, next, number)
			next++
		}
	}
	assert.Equal(t, said, next)
}
