package web

import (
	"net"
	"sync"
)

// connections bounds how many connections are open at once. Further ones wait to
// be accepted, so that who comes in a crowd is served late rather than refused.
type connections struct {
	net.Listener
	places chan struct{}
	closed chan struct{}
	once   sync.Once
}

func atMost(n int, l net.Listener) *connections {
	return &connections{Listener: l, places: make(chan struct{}, n), closed: make(chan struct{})}
}

// Accept waits for a connection and for a place for it.
func (l *connections) Accept() (net.Conn, error) {
	select {
	case l.places <- struct{}{}:
	case <-l.closed:
		return nil, net.ErrClosed
	}
	c, err := l.Listener.Accept()
	if err != nil {
		<-l.places
		return nil, err
	}
	return &connection{Conn: c, leave: sync.OnceFunc(func() { <-l.places })}, nil
}

// Close stops accepting.
func (l *connections) Close() error {
	l.once.Do(func() { close(l.closed) })
	return l.Listener.Close()
}

// connection gives its place back when it is closed.
type connection struct {
	net.Conn
	leave func()
}

func (c *connection) Close() error {
	defer c.leave()
	return c.Conn.Close()
}
