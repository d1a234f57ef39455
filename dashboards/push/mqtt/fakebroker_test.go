package mqtt

import (
	"bufio"
	"io"
	"net"
	"testing"

	"amphora/dashboards/testhelp"
)

// fake is a broker that does what a test wants with each connection.
func fake(t testing.TB, serve func(net.Conn)) string {
	t.Helper()
	return fakeUntil(t, func(c net.Conn, _ <-chan struct{}) { serve(c) })
}

// fakeUntil is one that is told when the test is over.
func fakeUntil(t testing.TB, serve func(net.Conn, <-chan struct{})) string {
	t.Helper()
	return "mqtt://" + testhelp.Serve(t, func(c net.Conn) { serve(c, t.Context().Done()) })
}

// welcome lets a client in and gives back the version it speaks.
func welcome(c net.Conn) (Version, *bufio.Reader) {
	in := bufio.NewReader(c)
	p, err := readHello(in)
	if err != nil {
		return 0, in
	}
	if p == MQTT5 {
		_, _ = c.Write([]byte{0x20, 3, 0, 0, 0})
	} else {
		_, _ = c.Write([]byte{0x20, 2, 0, 0})
	}
	return p, in
}

// readHello reads a CONNECT and says of which version it is: the byte behind the
// protocol's name in either.
func readHello(in *bufio.Reader) (Version, error) {
	hello, err := readWhole(in)
	if err != nil || len(hello) < 7 {
		return 0, io.ErrUnexpectedEOF
	}
	return Version(hello[6]), nil
}

// readWhole reads the body of a packet.
func readWhole(in *bufio.Reader) ([]byte, error) {
	if _, err := in.ReadByte(); err != nil {
		return nil, err
	}
	length, shift := 0, 0
	for {
		b, err := in.ReadByte()
		if err != nil {
			return nil, err
		}
		length |= int(b&0x7f) << shift
		if shift += 7; b < 0x80 {
			break
		}
	}
	body := make([]byte, length)
	_, err := io.ReadFull(in, body)
	return body, err
}

// oneByOne reads no more than is asked for, so that a packet can be passed on.
type oneByOne struct{ io.Reader }

func (r oneByOne) Read(p []byte) (int, error) { return r.Reader.Read(p[:1]) }
