package config

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"amphora/capture"
)

// port reads the name of a serial port. One that is not there may be plugged in
// later, so it is only worth a warning.
func (r *reader) port(p *string) func(node) {
	return func(n node) {
		text, ok := r.scalar(n, "a port like those `amphora ports` lists")
		if !ok {
			return
		}
		if strings.HasPrefix(text, "tty") {
			text = "/dev/" + text
		}
		*p = text
		device := r.host.device(text)
		if !r.claim(n, "port "+device, fmt.Sprintf("%s is used", text)) {
			return
		}
		if _, err := r.host.stat(text); errors.Is(err, fs.ErrNotExist) && runtime.GOOS != "windows" { // where a port is no file
			r.warn(n, "%s is not there now; plug it in, or see `amphora ports` for its present name", text)
		}
		if capture.IsNumbered(text) {
			r.warn(n, "%s may be another adapter after the next plugging%s", text, r.host.betterName(text))
		}
	}
}

// lineRates are those that devices commonly have: POSIX's, and the round ones of microcontrollers.
var lineRates = []string{
	"50", "75", "110", "134", "150", "200", "300", "600", "1200", "1800", "2400", "4800", "7200", "9600", "10400",
	"14400", "19200", "28800", "38400", "57600", "76800", "100000", "115200", "128000", "230400", "250000", "256000",
	"460800", "500000", "921600", "1000000", "1500000", "2000000", "3000000", "4000000",
}

// baud reads a line rate. A port takes nearly any, but one that differs by a slip from a
// common one would give garbage all night.
func (r *reader) baud(p *int) func(node) {
	return func(n node) {
		r.count(p, 50, 4_000_000)(n)
		rate := strconv.Itoa(*p)
		if *p == 0 || slices.Contains(lineRates, rate) {
			return
		}
		if common := Nearest(rate, lineRates); common != "" && slips(rate, common) == 1 {
			r.warn(n, "%s is no common line rate; did you mean %s?", rate, common)
		}
	}
}

// device is the node behind a stable name, or the name itself where there is none.
func (h Host) device(port string) string {
	if real, err := filepath.EvalSymlinks(h.real(port)); err == nil {
		return real
	}
	return filepath.Clean(h.real(port))
}

// betterName names the port by what stays the same.
func (h Host) betterName(port string) string {
	root := h.Root
	if root == "" {
		root = "/"
	}
	ports, _ := capture.Ports(root) // without a list there is still the advice
	for _, p := range ports {
		if p.Device == port && p.StableName() != port {
			return "; its stable name is " + p.StableName()
		}
	}
	return "; `amphora ports` lists the stable name below /dev/serial/by-id"
}
