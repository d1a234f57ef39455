package capture

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"syscall"

	"go.bug.st/serial"
)

// explain says why a port could not be opened and what to do about it. The
// serial module has errors of its own beside the system's.
func explain(path string, err error) error {
	code := serial.PortErrorCode(-1)
	if of, ok := errors.AsType[*serial.PortError](err); ok {
		code = of.Code()
	}
	switch {
	case errors.Is(err, syscall.EPERM): // modes and groups refuse with EACCES
		return fmt.Errorf("open %s: %w; it is not the port's mode that forbids it but a policy on devices: for a service set DeviceAllow= of this kind of port in its unit, r to listen and rw where a meter is asked", path, fs.ErrPermission)
	case code == serial.PermissionDenied || errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("open %s: %w; %s", path, fs.ErrPermission, access("/", path).advice(path))
	case code == serial.PortBusy || isBusy(err):
		return fmt.Errorf("open %s: %w; %s", path, errBusy, heldBy(holders("/", resolve("/", path))))
	case code == serial.InvalidSerialPort:
		return fmt.Errorf("open %s: this is no serial port, or it refuses these settings; `amphora ports` lists the ports: %w", path, err)
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("open %s: %w; plug it in, or see `amphora ports` for its present name", path, fs.ErrNotExist)
	}
	return fmt.Errorf("open %s: %w", path, err)
}

// explainFile says the same of a log or a pipe.
func explainFile(path string, err error) error {
	if !errors.Is(err, fs.ErrPermission) {
		return err
	}
	return fmt.Errorf("open %s: %w; %s", path, fs.ErrPermission, access("", path).facts(path))
}

// errBusy is why a port cannot be opened while another program has it.
var errBusy = errors.New("in use by another program")

// heldBy names the programs that hold a port.
func heldBy(by []Holder) string {
	if len(by) == 0 {
		return "this user may not see which; close it there"
	}
	names := make([]string, len(by))
	for i, h := range by {
		names[i] = h.String()
	}
	return "held by " + strings.Join(names, ", ") + "; close it there"
}
