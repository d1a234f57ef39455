package capture

import (
	"context"
	"net"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// TestTCPAsksADeadBridge: the system finds out within half a minute that a bridge has lost
// its power, since the connection to it is asked for signs of life. So is that to a meter.
func TestTCPAsksADeadBridge(t *testing.T) {
	address, conns := newBridge(t)
	open := map[string]func(c *TCP) (net.Conn, error){
		"a bridge": func(c *TCP) (net.Conn, error) {
			s, err := c.open(context.Background())
			return s.(connection).conn, err
		},
		"a meter": func(c *TCP) (net.Conn, error) {
			l, err := c.line(context.Background())
			return l.(timedLine).over.(net.Conn), err
		},
	}
	for name, open := range open {
		conn, err := open(&TCP{Address: address})
		require.NoError(t, err)
		defer conn.Close()
		defer (<-conns).Close()
		raw, err := conn.(*net.TCPConn).SyscallConn()
		require.NoError(t, err)
		require.NoError(t, raw.Control(func(fd uintptr) {
			for option, want := range map[[2]int]int{
				{unix.SOL_SOCKET, unix.SO_KEEPALIVE}:   1,
				{unix.IPPROTO_TCP, unix.TCP_KEEPIDLE}:  15,
				{unix.IPPROTO_TCP, unix.TCP_KEEPINTVL}: 5,
				{unix.IPPROTO_TCP, unix.TCP_KEEPCNT}:   3,
			} {
				got, err := unix.GetsockoptInt(int(fd), option[0], option[1])
				require.NoError(t, err)
				assert.Equal(t, want, got, "%s, option %v", name, option)
			}
		}))
	}
}
