package capture

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNamesOfPorts(t *testing.T) {
	for name, system := range map[string]string{
		"/dev/ttyUSB0": "linux", "/dev/serial/by-id/usb-meter": "linux", "/dev/cu.usbserial": "darwin", "COM3": "windows", "com12": "windows",
	} {
		assert.True(t, namesPort(name, system), name)
	}
	for name, system := range map[string]string{
		"COM3": "linux", "COM0": "windows", "COM3.csv": "windows", `C:\COM3`: "windows", "/dev/ttyUSB0": "windows", "night.csv": "linux",
	} {
		assert.False(t, namesPort(name, system), "%s on %s", name, system)
	}
}
