package capture

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"time"
)

// TCP is a connection to a bridge that puts a serial line on the network.
type TCP struct {
	Address string        // host:port
	Silence time.Duration // connect anew after so long, or three usual intervals, without a byte; 0: 30 s
}

// A bridge that lost its power says nothing more, and the connection looks
// alive: the kernel's probes find out in 30 s. One that hangs answers the
// probes; only its silence shows.
var keepAlive = net.KeepAliveConfig{Enable: true, Idle: 15 * time.Second, Interval: 5 * time.Second, Count: 3}

// Source checks the settings.
func (c TCP) Source() (Source, error) {
	if host, port, err := net.SplitHostPort(c.Address); err != nil || host == "" || port == "" {
		return Source{}, fmt.Errorf("tcp address %q is not host:port, want text like bridge.local:4001", c.Address)
	} else if _, err := net.LookupPort("tcp", port); err != nil {
		return Source{}, fmt.Errorf("tcp address %q: port %q is not a number from 1 to 65535", c.Address, port)
	}
	if c.Silence == 0 {
		c.Silence = 30 * time.Second
	}
	return Source{
		Name:    "tcp:" + c.Address,
		Open:    c.open,
		Midway:  true,
		Quiet:   quietLine,
		Silence: c.Silence,
	}, nil
}

func (c TCP) open(ctx context.Context) (Stream, error) {
	conn, err := c.dial(ctx, "the bridge")
	if err != nil {
		return nil, err
	}
	return connection{conn}, nil
}

func (c TCP) dial(ctx context.Context, whom string) (net.Conn, error) {
	dialer := net.Dialer{Timeout: 10 * time.Second, KeepAliveConfig: keepAlive}
	conn, err := dialer.DialContext(ctx, "tcp", c.Address)
	if err != nil {
		return nil, fmt.Errorf("connect to %s: %w", whom, err)
	}
	return conn, nil
}

// connection hides the connection's Write.
type connection struct{ conn net.Conn }

func (c connection) Read(p []byte) (int, error) {
	n, err := readTick(c.conn, p)
	if errors.Is(err, io.EOF) {
		err = errors.New("the bridge closed the connection")
	}
	return n, err
}

func (c connection) Close() error { return c.conn.Close() }

func (c connection) String() string { return "tcp " + c.conn.RemoteAddr().String() }
