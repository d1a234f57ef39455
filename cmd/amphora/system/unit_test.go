//go:build linux

package system

import (
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"os"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
	"golang.org/x/term"
)

// meter says a line ten times a second (invented) to whoever connects, until the test ends.
func meter(t testing.TB) (address string) {
	return testhelp.Serve(t, func(c net.Conn) { talk(t, c) })
}

var spoken atomic.Int64

func talk(t testing.TB, to interface{ Write([]byte) (int, error) }) {
	for t.Context().Err() == nil {
		k := spoken.Add(1)
		if _, err := fmt.Fprintf(to, "V=%.3f I=3.500\r\n", 12+float64(k)/1e4); err != nil {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
}

// port is the same on a port that the group of serial ports may read.
func port(t testing.TB) string {
	master, slave, err := pty.Open()
	require.NoError(t, err)
	_, err = term.MakeRaw(int(slave.Fd()))
	require.NoError(t, err)
	require.NoError(t, os.Chown(slave.Name(), 0, 20)) // dialout, on every Debian
	require.NoError(t, slave.Chmod(0o660))
	var sharing sync.WaitGroup
	t.Cleanup(func() { master.Close(); sharing.Wait(); slave.Close() })
	go talk(t, master)
	// One that is killed leaves the port its own as long as anybody holds it, and we do.
	sharing.Go(func() {
		for t.Context().Err() == nil {
			_ = unix.IoctlSetInt(int(slave.Fd()), unix.TIOCNXCL, 0)
			time.Sleep(100 * time.Millisecond)
		}
	})
	return slave.Name()
}

var pageOf = regexp.MustCompile(`msg=recording .*page=(http://\S+)`)

// get asks the newest page for something.
func (m *booted) get(path string, into any) (status int) {
	m.t.Helper()
	pages := pageOf.FindAllStringSubmatch(m.log(), -1)
	if pages == nil {
		return 0
	}
	answer, err := http.Get(pages[len(pages)-1][1] + path)
	if err != nil {
		return 0
	}
	defer answer.Body.Close()
	if into != nil {
		require.NoError(m.t, json.NewDecoder(answer.Body).Decode(into))
	}
	return answer.StatusCode
}

// untilBothAreRead waits until readings of both meters have come, with the present process.
func (m *booted) untilBothAreRead() {
	m.t.Helper()
	testhelp.Until(m.t, "readings of both meters", func() bool {
		var now struct {
			Channels []struct {
				Rows   int
				Source struct{ Up bool }
			}
		}
		if m.get("api/v1/channels", &now) != http.StatusOK || len(now.Channels) != 2 {
			return false
		}
		one, two := now.Channels[0], now.Channels[1]
		return one.Source.Up && two.Source.Up && one.Rows > 0 && two.Rows > 0
	})
}

// another waits until the service is up with another process than before, and gives that.
func (m *booted) another(before string) (pid string) {
	m.t.Helper()
	testhelp.Until(m.t, "another process", func() bool {
		pid = m.property("MainPID")
		return pid != "0" && pid != before && m.property("ActiveState") == "active"
	})
	m.untilBothAreRead()
	return pid
}

// signal sends one to the service's main process.
func (m *booted) signal(s syscall.Signal) {
	m.t.Helper()
	m.run("systemctl", "kill", "--kill-whom=main", "--signal="+strconv.Itoa(int(s)), "amphora")
}

// The package is installed on a running system, and systemd starts it: it is up only once it records, it reads by the
// network and by a serial port from within what confines it, comes back when it dies or hangs, goes on with its new
// program after an upgrade, ends well, and is gone when it is removed.
func TestUnitOnARunningSystem(t *testing.T) {
	m := boot(t)
	said := m.run("dpkg", "--no-triggers", "--install", m.bring(debian(t, "amd64")))
	assert.Contains(t, said, "amphora does not record yet")
	assert.Equal(t, "inactive", m.property("ActiveState"))
	assert.Equal(t, "disabled", m.property("UnitFileState"))

	m.write("/etc/amphora/amphora.yaml", fmt.Sprintf("data: /var/lib/amphora\nlisten: 127.0.0.1:0\nchannels:\n"+
		"  - {name: bridge, source: {tcp: {address: %q}}}\n  - {name: bench, source: {serial: {port: %s, baud: 9600}}}\n", meter(t), port(t)))
	m.run("systemctl", "enable", "--now", "amphora")
	testhelp.Until(t, "the page's address in the log, which systemd writes when it gets to it", func() bool { return pageOf.MatchString(m.log()) })
	assert.Equal(t, http.StatusOK, m.get("-/ready", nil), "ready when it is said to be started")
	assert.Equal(t, "active", m.property("ActiveState"))
	assert.Equal(t, "1min", m.property("WatchdogUSec"))
	m.untilBothAreRead()
	pid := m.property("MainPID")

	m.run("systemctl", "reload", "amphora")
	testhelp.Until(t, "the configuration read anew", func() bool { return len(pageOf.FindAllString(m.log(), -1)) == 2 })
	assert.Equal(t, pid, m.property("MainPID"))

	m.signal(syscall.SIGKILL)
	pid = m.another(pid)
	assert.Equal(t, "1", m.property("NRestarts"))

	m.run("systemctl", "restart", "amphora")
	pid = m.another(pid)
	assert.Equal(t, "0", m.property("NRestarts"))

	// One that hangs is noticed, here after two seconds in place of a minute.
	m.write("/etc/systemd/system/amphora.service.d/trial.conf", "[Service]\nWatchdogSec=2\nRestartSec=100ms\n")
	m.run("systemctl", "daemon-reload")
	m.run("systemctl", "restart", "amphora")
	pid = m.another(pid)
	m.signal(syscall.SIGSTOP)
	pid = m.another(pid)
	assert.True(t, strings.Contains(m.log(), "SIGABRT"), "ended by the watchdog, and left word of what hung")

	said = m.run("dpkg", "--no-triggers", "--install", m.bring(later(t)))
	assert.NotContains(t, said, "does not record yet")
	pid = m.another(pid)
	assert.Equal(t, "enabled", m.property("UnitFileState"))

	m.run("systemctl", "stop", "amphora")
	assert.Equal(t, "inactive", m.property("ActiveState"))
	assert.Equal(t, "success", m.property("Result"))
	assert.Equal(t, "0", m.property("ExecMainStatus"))
	m.run("amphora", "journal", "verify", "/var/lib/amphora")
	m.run("systemctl", "start", "amphora")
	m.another(pid)

	m.run("dpkg", "--no-triggers", "--remove", "amphora")
	assert.Equal(t, "not-found", m.property("LoadState"))
	assert.Equal(t, "0", m.property("MainPID"))
	assert.FileExists(t, m.root+"/var/lib/amphora/logbook.db")
	m.run("dpkg", "--no-triggers", "--purge", "amphora")
	assert.NoDirExists(t, m.root+"/var/lib/amphora")
	_, err := os.Lstat(m.root + "/etc/systemd/system/multi-user.target.wants/amphora.service")
	assert.ErrorIs(t, err, os.ErrNotExist)
	if t.Failed() {
		t.Log(m.log())
	}
}
