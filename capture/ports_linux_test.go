package capture

import (
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// tree is a made-up file system with the parts that ports are listed from. Its
// layout is that of the kernel's /sys (Documentation/ABI/stable/sysfs-class-tty
// and sysfs-bus-usb) and of the links that udev makes.
type tree struct {
	t    *testing.T
	root string
}

func newTree(t *testing.T) tree {
	tr := tree{t, t.TempDir()}
	tr.file("sys/class/tty/README", "")
	require.NoError(t, os.Remove(filepath.Join(tr.root, "sys/class/tty/README")))
	return tr
}

func (tr tree) file(path, text string) {
	tr.t.Helper()
	path = filepath.Join(tr.root, path)
	require.NoError(tr.t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(tr.t, os.WriteFile(path, []byte(text+"\n"), 0o660))
}

func (tr tree) link(path, target string) {
	tr.t.Helper()
	path = filepath.Join(tr.root, path)
	require.NoError(tr.t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(tr.t, os.Symlink(target, path))
}

// builtIn adds a port of the kernel's own list; type 0 is an empty place.
func (tr tree) builtIn(name, kind string) {
	dir := "sys/devices/platform/serial8250/tty/" + name
	tr.file(dir+"/type", kind)
	tr.link(dir+"/device", "../..")
	tr.link("sys/class/tty/"+name, "../../devices/platform/serial8250/tty/"+name)
	tr.file("dev/"+name, "")
}

// adapter adds a USB adapter in a socket, with the links that lead to it.
func (tr tree) adapter(name, socket, serial, id string) {
	usb := "sys/devices/pci0000:00/usb1/" + socket
	tr.file(usb+"/idVendor", "1a2b")
	tr.file(usb+"/idProduct", "3c4d")
	tr.file(usb+"/product", "USB to UART")
	if serial != "" {
		tr.file(usb+"/serial", serial)
	}
	tty := usb + "/" + socket + ":1.0/" + name + "/tty/" + name
	tr.file(tty+"/uevent", "DEVNAME="+name)
	tr.link(tty+"/device", "../../../"+name)
	tr.link("sys/class/tty/"+name, filepath.Join("../../..", tty))
	tr.file("dev/"+name, "")
	if id != "" {
		tr.link("dev/serial/by-id/"+id, "../../"+name)
	}
	tr.link("dev/serial/by-path/pci-0000:00-usb-"+socket, "../../"+name)
}

func (tr tree) ports() []Port {
	tr.t.Helper()
	ports, err := Ports(tr.root)
	require.NoError(tr.t, err)
	return ports
}

func TestPortsNamesAndKinds(t *testing.T) {
	tr := newTree(t)
	tr.builtIn("ttyS0", "4")
	tr.builtIn("ttyS1", "0")
	tr.file("sys/class/tty/tty1/uevent", "a screen")
	tr.adapter("ttyUSB10", "1-2", "A123", "usb-UART_A123-if00-port0")
	tr.adapter("ttyUSB2", "1-3", "", "")

	ports := tr.ports()
	require.Len(t, ports, 3)
	assert.Equal(t, "/dev/ttyS0", ports[0].Device)
	assert.Equal(t, "built-in serial port", ports[0].Kind)
	assert.Nil(t, ports[0].USB)
	assert.Equal(t, "/dev/ttyS0", ports[0].StableName())

	assert.Equal(t, "/dev/ttyUSB2", ports[1].Device)
	assert.Equal(t, &USB{Vendor: "1a2b", Product: "3c4d", Text: "USB to UART"}, ports[1].USB)
	assert.Equal(t, "/dev/serial/by-path/pci-0000:00-usb-1-3", ports[1].StableName())

	assert.Equal(t, "USB serial adapter", ports[2].Kind)
	assert.Equal(t, "A123", ports[2].USB.Serial)
	assert.Equal(t, []string{"/dev/serial/by-id/usb-UART_A123-if00-port0"}, ports[2].ByID)
	assert.Equal(t, ports[2].ByID[0], ports[2].StableName())
	for _, p := range ports {
		assert.False(t, p.Twin)
		assert.True(t, p.Access.Allowed)
		assert.Empty(t, p.Advice())
	}
}

func TestPortsTwinsAreToldByTheirSocket(t *testing.T) {
	tr := newTree(t)
	tr.adapter("ttyUSB0", "1-1", "", "usb-UART-if00-port0")
	tr.adapter("ttyUSB1", "1-2", "", "") // the link can lead to one of them only
	for _, p := range tr.ports() {
		assert.True(t, p.Twin)
		assert.Contains(t, p.StableName(), "by-path")
		assert.Contains(t, p.Advice(), "socket")
	}
}

func TestPortsHolders(t *testing.T) {
	tr := newTree(t)
	tr.adapter("ttyUSB0", "1-1", "A", "usb-A")
	tr.file("proc/812/comm", "terminal")
	tr.link("proc/812/fd/3", "/dev/ttyUSB0")
	tr.link("proc/812/fd/4", "/dev/ttyUSB0")
	tr.link("proc/813/fd/1", "/dev/null")
	p := tr.ports()[0]
	assert.Equal(t, []Holder{{PID: 812, Command: "terminal"}}, p.Holders)
	assert.Contains(t, p.Advice(), "held by terminal (process 812)")
}

func TestPortsNoneAndNoList(t *testing.T) {
	assert.Empty(t, newTree(t).ports())
	_, err := Ports(t.TempDir())
	assert.ErrorContains(t, err, "list the serial ports")
}

// TestPortsOpensNothing lists the real host while a pseudo-terminal is at hand:
// the holders of it are found, by reading links. The system is asked whether a port was
// opened, be it for a moment: that alone changes its line rate, or resets the device.
func TestPortsOpensNothing(t *testing.T) {
	m := newMeter(t)
	tr := newTree(t)
	tr.adapter("ttyUSB0", "1-1", "A", "usb-A")
	tr.builtIn("ttyS7", "4")
	watch, err := unix.InotifyInit1(unix.IN_NONBLOCK | unix.IN_CLOEXEC)
	require.NoError(t, err)
	defer unix.Close(watch)
	for _, dev := range []string{"/dev", filepath.Join(tr.root, "dev")} {
		_, err = unix.InotifyAddWatch(watch, dev, unix.IN_OPEN)
		require.NoError(t, err)
	}
	before := openFiles(t)
	require.Len(t, tr.ports(), 2)
	_, err = Ports("/")
	require.NoError(t, err)
	assert.Equal(t, before, openFiles(t))
	events := make([]byte, 1<<16)
	n, _ := unix.Read(watch, events) // nothing at all is an error
	assert.NotRegexp(t, "tty[A-Z]", string(events[:max(n, 0)]))
	var pids []string
	for _, h := range holders("/", m.device) {
		pids = append(pids, strconv.Itoa(h.PID))
	}
	assert.Contains(t, pids, strconv.Itoa(os.Getpid()))
}
