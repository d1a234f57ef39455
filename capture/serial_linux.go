package capture

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// port is an open serial port: a descriptor that can only read.
type port struct {
	file *os.File
	text string
}

// open opens the port for reading only, and has the serial module set the line
// through a descriptor of its own, which is closed again at once: the settings
// belong to the line. So nothing can ever be written, the wait for bytes can be
// ended without a race, no descriptor passes to the commands that are started,
// and the number of open files does not matter.
func (c Serial) open(mode *serial.Mode) (Stream, error) {
	return c.openFor(unix.O_RDONLY, mode)
}

func (c Serial) openFor(access int, mode *serial.Mode) (*port, error) {
	device, err := filepath.EvalSymlinks(c.Port) // anew at each try: the link follows the plug
	if err != nil {
		return nil, err
	}
	fd, err := unix.Open(device, access|unix.O_NOCTTY|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	if err != nil {
		return nil, &os.PathError{Op: "open", Path: device, Err: err}
	}
	file := os.NewFile(uintptr(fd), device)
	if err := c.prepare(fd, device, mode); err != nil {
		file.Close()
		return nil, err
	}
	return &port{file: file, text: c.describe(device)}, nil
}

// prepare takes the port for this program alone and sets the line.
func (c Serial) prepare(fd int, device string, mode *serial.Mode) error {
	// The exclusive mode below does not stop root; the lock stops whoever asks.
	if err := unix.Flock(fd, unix.LOCK_EX|unix.LOCK_NB); errors.Is(err, unix.EWOULDBLOCK) {
		return &os.PathError{Op: "lock", Path: device, Err: unix.EBUSY}
	}
	line, err := serial.Open(device, mode)
	if err != nil {
		return err
	}
	if err := line.Close(); err != nil {
		return err
	}
	if err := unix.IoctlSetInt(fd, unix.TIOCEXCL, 0); err != nil {
		return fmt.Errorf("take %s for this program alone: %w", device, err)
	}
	if err := keepLines(fd); err != nil {
		return fmt.Errorf("keep the lines of %s at closing: %w", device, err)
	}
	if err := setLine(fd, unix.TIOCM_DTR, c.DTR); err != nil {
		return fmt.Errorf("set DTR of %s: %w", device, err)
	}
	if err := setLine(fd, unix.TIOCM_RTS, c.RTS); err != nil {
		return fmt.Errorf("set RTS of %s: %w", device, err)
	}
	return nil
}

// keepLines lets DTR stay as it is when the port is closed: a board that resets
// when DTR rises would otherwise begin anew at each restart of this program.
func keepLines(fd int) error {
	t, err := unix.IoctlGetTermios(fd, unix.TCGETS)
	if err != nil {
		return err
	}
	t.Cflag &^= unix.HUPCL
	return unix.IoctlSetTermios(fd, unix.TCSETS, t)
}

// setLine raises or drops a modem line. A pseudo-terminal has none, nor have
// some adapters: that is no reason not to listen.
func setLine(fd, line int, on *bool) error {
	if on == nil {
		return nil
	}
	request := uint(unix.TIOCMBIC)
	if *on {
		request = unix.TIOCMBIS
	}
	err := unix.IoctlSetPointerInt(fd, request, line)
	if errors.Is(err, unix.ENOTTY) || errors.Is(err, unix.EINVAL) {
		return nil
	}
	return err
}

// Read gives what came. The other end gone reads as the end of a file.
func (p *port) Read(b []byte) (int, error) {
	n, err := readTick(p.file, b)
	if errors.Is(err, io.EOF) {
		err = errors.New("the port is gone; unplugged, or its other end was closed")
	}
	return n, err
}

// Close gives the port back.
func (p *port) Close() error {
	if raw, err := p.file.SyscallConn(); err == nil {
		// Best effort: a port that was pulled out has no mode left to undo.
		_ = raw.Control(func(fd uintptr) { _ = unix.IoctlSetInt(int(fd), unix.TIOCNXCL, 0) })
	}
	return p.file.Close()
}

func (p *port) String() string { return p.text }
