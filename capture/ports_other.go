//go:build !linux

package capture

import (
	"fmt"
	"path/filepath"

	"go.bug.st/serial"
)

// Ports lists the serial ports. On these systems the serial module's list opens
// none of them, but knows only their names; root must be "/".
func Ports(root string) ([]Port, error) {
	names, err := serial.GetPortsList()
	if err != nil {
		return nil, fmt.Errorf("list the serial ports: %w", err)
	}
	var ports []Port
	for _, name := range names {
		ports = append(ports, Port{Device: name, Kind: "serial port", Access: access(root, name)})
	}
	sortPorts(ports)
	return ports, nil
}

// resolve follows the links of a name.
func resolve(_, name string) string {
	if target, err := filepath.EvalSymlinks(name); err == nil {
		return target
	}
	return name
}

// holders cannot be found out here.
func holders(_, _ string) []Holder { return nil }
