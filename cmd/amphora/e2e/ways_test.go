//go:build linux

package e2e

import (
	"net"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The same lines by a file, a serial port and a TCP connection are the same night, to
// the last bit, and that of amphora analyze.
func TestSameNightByEveryWay(t *testing.T) {
	t.Parallel()
	night := mower(30)
	file, port := night.file(t), newPort(t)
	bridge, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer bridge.Close()
	at := newPlace(t)
	at.channel(t, "file", "file: {path: "+file+"}")
	at.channel(t, "port", port.source())
	at.channel(t, "bridge", "tcp: {address: '"+bridge.Addr().String()+"'}")
	p := serve(t, at.config)
	conn, err := bridge.Accept()
	require.NoError(t, err)
	defer conn.Close()
	// Both may be found in the middle of a line.
	_, err = conn.Write([]byte("\n" + strings.Join(night.lines, "\r\n") + "\r\n"))
	require.NoError(t, err)
	until(t, "the port", func() bool { return p.view("port").Source.Up })
	port.say("")
	for _, line := range night.lines {
		port.say(line)
	}
	for _, way := range []string{"file", "port", "bridge"} {
		p.untilRead(way, night.end)
	}
	p.stop() // a charge that rests is written down now and then, and at the end
	p = serve(t, at.config)
	sessions := p.sessions()
	p.stop()
	require.Len(t, sessions, 3)
	want := analysed(t, file)[0]
	ways := map[string]bool{}
	for _, s := range sessions {
		ways[s.Channel] = true
		requireSame(t, want, s)
	}
	assert.Len(t, ways, 3)
}
