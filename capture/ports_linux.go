package capture

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Ports lists the serial ports under a file system root ("/", or a copy of the
// parts in question for a test). It reads only /sys/class/tty, /dev/serial and
// /proc: no port is opened.
func Ports(root string) ([]Port, error) {
	entries, err := os.ReadDir(filepath.Join(root, "sys/class/tty"))
	if err != nil {
		return nil, fmt.Errorf("list the serial ports: %w", err)
	}
	byID := linksIn(root, "/dev/serial/by-id")
	byPath := linksIn(root, "/dev/serial/by-path")
	var ports []Port
	for _, e := range entries {
		class := filepath.Join(root, "sys/class/tty", e.Name())
		if !isPort(class) {
			continue
		}
		device := "/dev/" + e.Name()
		ports = append(ports, Port{
			Device:  device,
			ByID:    byID[device],
			ByPath:  byPath[device],
			Kind:    kindOf(e.Name()),
			USB:     usbOf(root, class),
			Holders: holders(root, device),
			Access:  access(root, device),
		})
	}
	markTwins(ports)
	sortPorts(ports)
	return ports, nil
}

// isPort tells a serial port from a screen console, a pseudo-terminal (neither
// has a device behind it) and from the empty places that the kernel keeps for
// built-in ports (type 0).
func isPort(class string) bool {
	if _, err := os.Stat(filepath.Join(class, "device")); err != nil {
		return strings.HasPrefix(filepath.Base(class), "rfcomm")
	}
	return readLine(filepath.Join(class, "type")) != "0"
}

func kindOf(name string) string {
	switch strings.TrimRight(name, "0123456789") {
	case "ttyUSB":
		return "USB serial adapter"
	case "ttyACM":
		return "USB device with a serial line of its own"
	case "rfcomm":
		return "Bluetooth serial line"
	}
	return "built-in serial port"
}

// usbOf looks for the USB device that the port belongs to, some folders above
// the port's own.
func usbOf(root, class string) *USB {
	dir, err := filepath.EvalSymlinks(filepath.Join(class, "device"))
	if err != nil {
		return nil
	}
	for top, _ := filepath.EvalSymlinks(root); len(dir) > len(top); dir = filepath.Dir(dir) {
		if vendor := readLine(filepath.Join(dir, "idVendor")); vendor != "" {
			return &USB{
				Vendor:  vendor,
				Product: readLine(filepath.Join(dir, "idProduct")),
				Serial:  readLine(filepath.Join(dir, "serial")),
				Text:    readLine(filepath.Join(dir, "product")),
			}
		}
	}
	return nil
}

// linksIn gives for each device the links in a folder that lead to it.
func linksIn(root, folder string) map[string][]string {
	links := map[string][]string{}
	entries, _ := os.ReadDir(filepath.Join(root, folder)) // absent where no USB port is
	for _, e := range entries {
		name := filepath.Join(folder, e.Name())
		device := resolve(root, name)
		links[device] = append(links[device], name)
	}
	return links
}

// resolve follows the links of a name within the root, or gives the name back.
func resolve(root, name string) string {
	top, err := filepath.EvalSymlinks(root)
	if err != nil {
		return name
	}
	target, err := filepath.EvalSymlinks(filepath.Join(top, name))
	if err != nil {
		return name
	}
	return filepath.Join("/", strings.TrimPrefix(target, top))
}

// holders finds the processes that have a device open. Those of other users can
// be seen by root only.
func holders(root, device string) []Holder {
	open, _ := filepath.Glob(filepath.Join(root, "proc/[0-9]*/fd/*")) // the pattern is sound
	var found []Holder
	for _, fd := range open {
		if target, err := os.Readlink(fd); err != nil || target != device {
			continue
		}
		process := filepath.Dir(filepath.Dir(fd))
		pid, err := strconv.Atoi(filepath.Base(process))
		if err != nil || slices.ContainsFunc(found, func(h Holder) bool { return h.PID == pid }) {
			continue
		}
		found = append(found, Holder{PID: pid, Command: readLine(filepath.Join(process, "comm"))})
	}
	return found
}

// readLine is the text of a small file of the kernel's; empty if there is none.
func readLine(path string) string {
	text, err := os.ReadFile(path)
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(text))
}
