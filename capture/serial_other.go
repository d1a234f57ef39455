//go:build !linux

package capture

import (
	"errors"
	"path/filepath"
	"time"

	"go.bug.st/serial"
)

// port is an open serial port. Of the module's port only what listens is used.
type port struct {
	line serial.Port
	text string
}

// open opens the port through the serial module, which takes it for this
// program alone on these systems.
func (c Serial) open(mode *serial.Mode) (Stream, error) {
	return c.openWith(mode, tick)
}

// openWith opens it so that a Read waits so long at most.
func (c Serial) openWith(mode *serial.Mode, wait time.Duration) (*port, error) {
	device := c.Port
	if resolved, err := filepath.EvalSymlinks(c.Port); err == nil { // not every system keeps ports as files
		device = resolved
	}
	line, err := serial.Open(device, mode)
	if err != nil {
		return nil, err
	}
	// Set once, before the first read: the two would race. A read that timed
	// out returns nothing, without an error.
	if err := errors.Join(line.SetReadTimeout(wait), c.setLines(line)); err != nil {
		line.Close()
		return nil, err
	}
	return &port{line: line, text: c.describe(device)}, nil
}

func (c Serial) setLines(line serial.Port) error {
	var dtr, rts error
	if c.DTR != nil {
		dtr = line.SetDTR(*c.DTR)
	}
	if c.RTS != nil {
		rts = line.SetRTS(*c.RTS)
	}
	return errors.Join(dtr, rts)
}

// Read gives what came. The module reports a pulled plug and its own Close
// alike; nobody closes while reading, so it is the plug.
func (p *port) Read(b []byte) (int, error) {
	n, err := p.line.Read(b)
	if closed, ok := errors.AsType[*serial.PortError](err); ok && closed.Code() == serial.PortClosed {
		err = errors.New("the port is gone; unplugged?")
	}
	return n, err
}

func (p *port) Close() error   { return p.line.Close() }
func (p *port) String() string { return p.text }
