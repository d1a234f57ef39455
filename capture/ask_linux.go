package capture

import (
	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// openLine opens the port for asking: the same way as for listening, but with a
// descriptor that can write.
func (c Serial) openLine(mode *serial.Mode) (line, error) {
	p, err := c.openFor(unix.O_RDWR, mode)
	if err != nil {
		return nil, err
	}
	return portLine{timedLine{p.file, p.text}, p}, nil
}

// portLine gives the port back as a listener does.
type portLine struct {
	timedLine
	port *port
}

func (l portLine) Close() error { return l.port.Close() }
