//go:build linux

package system

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// booted is a system that systemd runs: this machine's, in a throwaway copy (testdata/boot).
type booted struct {
	t    testing.TB
	init string // its first process
	root string // its disk, as seen from out here
}

// boot starts one, and takes it away after the test. What it needs of the kernel no package
// brings, so a machine that refuses it is named and the test skipped.
func boot(t testing.TB) *booted {
	t.Helper()
	if os.Getenv("AMPHORA_CI") == "" {
		t.Skip("starts a whole systemd, which is not asked for: set AMPHORA_CI")
	}
	if os.Geteuid() != 0 {
		t.Skip("only root can start a system of its own")
	}
	for program, debian := range map[string]string{"/lib/systemd/systemd": "systemd", "/usr/bin/dbus-daemon": "dbus", "unshare": "util-linux", "setpriv": "util-linux"} {
		testhelp.Needed(t, program, debian)
	}
	group := newGroup(t)
	var said bytes.Buffer
	cmd := exec.Command("testdata/boot", t.TempDir(), group)
	cmd.Stdout, cmd.Stderr = &said, &said
	require.NoError(t, cmd.Start())
	ended := make(chan struct{})
	go func() {
		_ = cmd.Wait()
		close(ended)
	}()
	t.Cleanup(func() {
		_ = cmd.Process.Kill() // and with it, everything in there
		<-ended
	})
	m := &booted{t: t}
	testhelp.Until(t, "systemd", func() bool {
		select {
		case <-ended:
			t.Skipf("this machine's kernel, or what it runs in, refuses to let a system of its own start: %s", said.String())
		default:
		}
		m.init = child(cmd.Process.Pid)
		name, _ := os.ReadFile("/proc/" + m.init + "/comm")
		return string(name) == "systemd\n"
	})
	m.root = "/proc/" + m.init + "/root"
	testhelp.Until(t, "the system to be up", func() bool {
		out, _ := m.command("systemctl", "is-system-running").Output()
		return string(out) == "running\n" || string(out) == "degraded\n"
	})
	return m
}

// child is the only child of a process; empty while there is none.
func child(pid int) string {
	list, _ := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", pid, pid))
	return strings.TrimSpace(string(list))
}

// newGroup makes a group of processes within that of the test.
func newGroup(t testing.TB) string {
	t.Helper()
	own, err := os.ReadFile("/proc/self/cgroup")
	require.NoError(t, err)
	mounts, err := os.Open("/proc/self/mounts")
	require.NoError(t, err)
	defer mounts.Close()
	for line := bufio.NewScanner(mounts); line.Scan(); {
		if fields := strings.Fields(line.Text()); fields[2] == "cgroup2" {
			_, path, _ := strings.Cut("\n"+string(own), "\n0::")
			path, _, _ = strings.Cut(path, "\n")
			dir, err := os.MkdirTemp(filepath.Join(fields[1], path), "amphora-test-")
			if err != nil {
				t.Skipf("this machine lets nobody make groups of processes: %v", err)
			}
			t.Cleanup(func() {
				testhelp.Until(t, "the end of all its processes", func() bool { return removeGroup(dir) == nil })
			})
			return dir
		}
	}
	t.Skip("this machine has no cgroup2, which systemd needs")
	return ""
}

// removeGroup removes an empty group and those below.
func removeGroup(dir string) error {
	below, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, d := range below {
		if d.IsDir() {
			if err := removeGroup(filepath.Join(dir, d.Name())); err != nil {
				return err
			}
		}
	}
	return os.Remove(dir)
}

// command is one that runs in the system, as its root.
func (m *booted) command(args ...string) *exec.Cmd {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	m.t.Cleanup(cancel)
	c := exec.CommandContext(ctx, "nsenter", append([]string{"-t", m.init, "-m", "-p", "-u", "-i", "-C", "-r", "-w"}, args...)...)
	c.Env = []string{"PATH=/usr/sbin:/usr/bin:/sbin:/bin", "LC_ALL=C"}
	return c
}

// run runs one to its good end and returns what it said.
func (m *booted) run(args ...string) string {
	m.t.Helper()
	out, err := m.command(args...).CombinedOutput()
	require.NoError(m.t, err, "%s\n%s", out, m.log())
	return string(out)
}

// log is what the service said.
func (m *booted) log() string {
	out, _ := m.command("journalctl", "--unit=amphora", "--output=cat", "--no-pager").Output()
	return string(out)
}

// property is what systemd says of the service.
func (m *booted) property(name string) string {
	return strings.TrimSpace(m.run("systemctl", "show", "--value", "--property="+name, "amphora"))
}

// bring puts a file into the system's folder for such.
func (m *booted) bring(file string) string {
	m.t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(m.t, err)
	m.write("/tmp/"+filepath.Base(file), string(text))
	return "/tmp/" + filepath.Base(file)
}

func (m *booted) write(file, text string) {
	m.t.Helper()
	require.NoError(m.t, os.MkdirAll(filepath.Dir(m.root+file), 0o755))
	require.NoError(m.t, os.WriteFile(m.root+file, []byte(text), 0o644))
}
