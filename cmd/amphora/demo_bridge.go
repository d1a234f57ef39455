package main

import (
	"context"
	"net"

	"amphora/analyze/madeup"
	"amphora/capture"
)

// bridge stands in where there is no pseudo-terminal: a TCP port, as a
// serial-to-network bridge would be.
type bridge struct {
	listener net.Listener
	without  error         // why there is no pseudo-terminal
	closed   chan struct{} // the line stays up until then: a daemon that loses it would try again
}

func openBridge(without error) (*bridge, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	return &bridge{listener: l, without: without, closed: make(chan struct{})}, nil
}

func (b *bridge) name() string { return b.listener.Addr().String() }

func (b *bridge) remark() string {
	return "a TCP port, since there is no pseudo-terminal: " + b.without.Error()
}

func (b *bridge) source() (capture.Source, error) {
	return capture.TCP{Address: b.name()}.Source()
}

func (b *bridge) play(ctx context.Context, n madeup.Night, speed float64) error {
	c, err := b.listener.Accept()
	if err != nil {
		return err
	}
	go func() {
		<-b.closed
		c.Close()
	}()
	return playLines(ctx, c, n, speed)
}

// Close ends the listener and the line.
func (b *bridge) Close() error {
	close(b.closed)
	return b.listener.Close()
}
