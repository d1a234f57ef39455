package capture

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"go.bug.st/serial"
)

// Serial is a serial port, built in or behind a USB adapter.
type Serial struct {
	Port   string // a stable name (/dev/serial/by-id/..., by-path/...) or any device path
	Baud   int    // bits per second; 0: 9600
	Bits   int    // 5 to 8; 0: 8
	Parity string // none, odd, even, mark, space; empty: none
	Stop   string // 1, 1.5, 2; empty: 1
	DTR    *bool  // raise or drop this line once the port is open; nil: leave it to the system, which raises it
	RTS    *bool  // likewise
	Expect string // a regular expression that one of the first lines of the device matches; empty: any does
}

var parities = map[string]serial.Parity{
	"none": serial.NoParity, "odd": serial.OddParity, "even": serial.EvenParity,
	"mark": serial.MarkParity, "space": serial.SpaceParity,
}

var stopBits = map[string]serial.StopBits{
	"1": serial.OneStopBit, "1.5": serial.OnePointFiveStopBits, "2": serial.TwoStopBits,
}

// Source checks the settings.
func (c Serial) Source() (Source, error) {
	if c.Port == "" {
		return Source{}, fmt.Errorf("serial has no port, want a name like those `amphora ports` lists")
	}
	c = c.withDefaults()
	mode, err := c.mode()
	if err != nil {
		return Source{}, fmt.Errorf("serial %s: %w", c.Port, err)
	}
	expect, err := expected(c.Expect)
	if err != nil {
		return Source{}, fmt.Errorf("serial %s: %w", c.Port, err)
	}
	return Source{
		Expect: expect,
		Name:   "serial:" + c.Port,
		Open: func(context.Context) (Stream, error) {
			stream, err := c.open(mode)
			if err != nil {
				return nil, explain(c.Port, err)
			}
			return stream, nil
		},
		Midway:  true,
		Quiet:   quietLine,
		Wakes:   true,
		Warning: c.warning(),
		Hint: "another program may be taking the port (on desktops brltty claims common USB adapters, " +
			"ModemManager probes new ports), or the cable or its power is bad",
	}, nil
}

// IsNumbered tells whether the system gives a port's name out in the order in which it
// finds its adapters.
func IsNumbered(port string) bool {
	name := filepath.Base(port)
	return filepath.Dir(port) == "/dev" && (strings.HasPrefix(name, "ttyUSB") || strings.HasPrefix(name, "ttyACM"))
}

// warning says what may go wrong with a port by this name; empty if nothing.
func (c Serial) warning() string {
	if !IsNumbered(c.Port) {
		return ""
	}
	return fmt.Sprintf("%s may be another adapter after the next plugging; `amphora ports` lists the stable name of this one", c.Port)
}

func (c Serial) withDefaults() Serial {
	if c.Baud == 0 {
		c.Baud = 9600
	}
	if c.Bits == 0 {
		c.Bits = 8
	}
	if c.Parity == "" {
		c.Parity = "none"
	}
	if c.Stop == "" {
		c.Stop = "1"
	}
	return c
}

// mode is the line's settings as the serial module wants them.
func (c Serial) mode() (*serial.Mode, error) {
	parity, known := parities[c.Parity]
	if !known {
		return nil, fmt.Errorf("parity %q is not known, want none, odd, even, mark or space", c.Parity)
	}
	stop, known := stopBits[c.Stop]
	if !known {
		return nil, fmt.Errorf("%q stop bits are not known, want 1, 1.5 or 2", c.Stop)
	}
	if c.Bits < 5 || c.Bits > 8 {
		return nil, fmt.Errorf("%d bits are not possible, want 5 to 8", c.Bits)
	}
	if c.Baud < 50 || c.Baud > 4_000_000 {
		return nil, fmt.Errorf("%d baud are not possible, want 50 to 4000000", c.Baud)
	}
	return &serial.Mode{BaudRate: c.Baud, DataBits: c.Bits, Parity: parity, StopBits: stop}, nil
}

// describe says how a port was opened, and under which name of today.
func (c Serial) describe(device string) string {
	text := fmt.Sprintf("%s, %d %d%s%s", c.Port, c.Baud, c.Bits, strings.ToUpper(c.Parity[:1]), c.Stop)
	if device != c.Port {
		text += ", now " + device
	}
	return text
}
