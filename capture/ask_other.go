//go:build !linux

package capture

import (
	"errors"
	"io"
	"sync"
	"time"

	"amphora/capture/query"

	"go.bug.st/serial"
)

// shortest is how long a Read of the serial module waits here: it can be set only
// once, and a pause between two frames is no longer.
const shortest = 10 * time.Millisecond

// moduleLine is a line over a port of the serial module, whose Write can neither
// be given a time limit nor be freed by Close, and after Close could go to
// another file that has got the same number since.
type moduleLine struct {
	port *port

	mu     sync.Mutex // guards what follows, and the Write
	closed bool
}

func (c Serial) openLine(mode *serial.Mode) (line, error) {
	p, err := c.openWith(mode, shortest)
	if err != nil {
		return nil, err
	}
	return &moduleLine{port: p}, nil
}

func (l *moduleLine) read(p []byte, within time.Duration) (int, error) {
	for end := time.Now().Add(within); ; {
		n, err := l.port.Read(p)
		if n > 0 || err != nil || !time.Now().Before(end) {
			return n, err
		}
	}
}

// ask sends from a goroutine of its own, so that a stuck line holds up nobody.
func (l *moduleLine) ask(q query.Query) error {
	sent := make(chan error, 1)
	go func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		if l.closed {
			sent <- io.ErrClosedPipe
			return
		}
		sent <- q.Send(wholly{l.port.line})
	}()
	select {
	case err := <-sent:
		return err
	case <-time.After(askWithin):
		return errors.New("the question cannot be sent: the line is stuck")
	}
}

// Close leaves a line that is stuck in a Write to that Write.
func (l *moduleLine) Close() error {
	if !l.mu.TryLock() {
		return errors.New("the port is stuck in sending and cannot be closed now")
	}
	defer l.mu.Unlock()
	l.closed = true
	return l.port.Close()
}

func (l *moduleLine) String() string { return l.port.String() }

// wholly writes all of it, where the module's port may write a part.
type wholly struct{ to io.Writer }

func (w wholly) Write(p []byte) (done int, err error) {
	for done < len(p) && err == nil {
		n := 0
		n, err = w.to.Write(p[done:])
		if done += n; n == 0 && err == nil {
			err = io.ErrShortWrite
		}
	}
	return done, err
}
