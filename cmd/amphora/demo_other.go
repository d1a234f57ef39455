//go:build !unix

package main

import (
	"context"
	"net"

	"amphora/analyze/madeup"
	"amphora/capture"
)

// bridge stands in where there are no pseudo-terminals: a TCP port, as a
// serial-to-network bridge would be.
type bridge struct{ listener net.Listener }

func openStage() (stage, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	return &bridge{l}, nil
}

func (b *bridge) name() string { return b.listener.Addr().String() }

func (b *bridge) source() (capture.Source, error) {
	return capture.TCP{Address: b.name()}.Source()
}

func (b *bridge) play(ctx context.Context, n madeup.Night, speed float64) error {
	c, err := b.listener.Accept()
	if err != nil {
		return err
	}
	err = playLines(ctx, c, n, speed)
	<-ctx.Done() // the daemon would try to connect again
	c.Close()
	return err
}

// Close ends the listener.
func (b *bridge) Close() error { return b.listener.Close() }
