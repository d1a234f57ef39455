package mqtt

import (
	"bufio"
	"io"
	"net"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// fake is a broker that does what a test wants with each connection.
func fake(t testing.TB, serve func(net.Conn)) string {
	t.Helper()
	return fakeUntil(t, func(c net.Conn, _ <-chan struct{}) { serve(c) })
}

// fakeUntil is one that is told when the test is over.
func fakeUntil(t testing.TB, serve func(net.Conn, <-chan struct{})) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	var all sync.WaitGroup
	var mu sync.Mutex
	open, over := make(map[net.Conn]bool), make(chan struct{})
	all.Go(func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			mu.Lock()
			open[c] = true
			mu.Unlock()
			all.Go(func() {
				defer c.Close()
				serve(c, over)
			})
		}
	})
	t.Cleanup(func() {
		_ = l.Close() // nobody listens any more
		close(over)
		mu.Lock()
		for c := range open {
			_ = c.Close() // it may be closed
		}
		mu.Unlock()
		all.Wait()
	})
	return "mqtt://" + l.Addr().String()
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
