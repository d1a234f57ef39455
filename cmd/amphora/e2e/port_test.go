//go:build linux

package e2e

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
	"golang.org/x/term"
)

// port is a serial port: a pseudo-terminal behind a name that stays the same. What
// is said at its far end amphora reads.
type port struct {
	t             testing.TB
	link          string
	master, slave *os.File // the slave is held so that bytes wait while nobody reads
	said          []said
}

// said is a line that was handed to a port.
type said struct {
	text string
	at   time.Time // when the kernel had taken it
}

func newPort(t testing.TB) *port {
	p := &port{t: t, link: filepath.Join(t.TempDir(), "meter")}
	p.plug()
	t.Cleanup(p.unplug)
	return p
}

// plug makes the port, each time another one behind the same name. It is raw from
// the start: a new terminal would echo.
func (p *port) plug() {
	p.t.Helper()
	master, slave, err := pty.Open()
	require.NoError(p.t, err)
	_, err = term.MakeRaw(int(slave.Fd()))
	require.NoError(p.t, err)
	p.master, p.slave = waitable(p.t, master), slave
	require.NoError(p.t, os.Symlink(slave.Name(), p.link))
}

// waitable gives the file again so that its writes can be ended by a deadline or by
// closing it, while nobody reads at the other end.
func waitable(t testing.TB, f *os.File) *os.File {
	t.Helper()
	defer f.Close()
	fd, err := unix.FcntlInt(f.Fd(), unix.F_DUPFD_CLOEXEC, 0)
	require.NoError(t, err)
	require.NoError(t, unix.SetNonblock(fd, true))
	return os.NewFile(uintptr(fd), f.Name())
}

// unplug takes the port away, with its name, as the system does.
func (p *port) unplug() {
	if p.master == nil {
		return
	}
	_ = os.Remove(p.link)
	p.slave.Close()
	p.master.Close()
	p.master, p.slave = nil, nil
}

// free takes away the mark of a program that had the port for itself and was killed.
// The system does so when nobody holds the port any more, but we do.
func (p *port) free() {
	p.t.Helper()
	require.NoError(p.t, unix.IoctlSetInt(int(p.slave.Fd()), unix.TIOCNXCL, 0))
}

// say hands one line to the port. It waits where the port is full.
func (p *port) say(line string) {
	p.t.Helper()
	_, err := p.master.WriteString(line + "\r\n")
	require.NoError(p.t, err)
	p.said = append(p.said, said{line, time.Now()})
}

// sayAll says one line after the other.
func (p *port) sayAll(lines []string) {
	p.t.Helper()
	for _, line := range lines {
		p.say(line)
	}
}

func (p *port) source() string { return "serial: {port: " + p.link + ", baud: 115200}" }
