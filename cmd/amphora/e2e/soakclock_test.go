//go:build linux

package e2e

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"
	"unsafe"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// soakHost is a host whose clocks can be moved: testdata/clock_host.go, which the soak
// builds into its program in place of capture/clock_host.go, adds to the real ones what
// stands in a file.
type soakHost struct {
	t       testing.TB
	program string
	file    string
	away    *offset // the file, as the program sees it
}

// offset is how far the host is from the real one: ns, ns, count.
type offset struct{ wall, boot, boots atomic.Int64 }

func newSoakHost(t testing.TB, program string) *soakHost {
	h := &soakHost{t: t, program: program, file: filepath.Join(t.TempDir(), "clock")}
	size := int(unsafe.Sizeof(offset{}))
	f, err := os.Create(h.file)
	require.NoError(t, err)
	defer f.Close()
	require.NoError(t, f.Truncate(int64(size)))
	memory, err := unix.Mmap(int(f.Fd()), 0, size, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, unix.Munmap(memory)) })
	h.away = (*offset)(unsafe.Pointer(&memory[0]))
	return h
}

// buildForSoak builds the program for such a host. Nothing of it is in the tree that
// every other program is built of.
func buildForSoak(t testing.TB) string {
	t.Helper()
	here, err := os.Getwd()
	require.NoError(t, err)
	dir := t.TempDir()
	overlay, program := filepath.Join(dir, "overlay.json"), filepath.Join(dir, "amphora")
	text, err := json.Marshal(map[string]map[string]string{"Replace": {
		filepath.Join(here, "../../../capture/clock_host.go"): filepath.Join(here, "testdata/clock_host.go"),
	}})
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(overlay, text, 0o600))
	out, err := buildOf(program, "-overlay", overlay).CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.True(t, clockMoves(t, program))
	require.False(t, clockMoves(t, binary), "nobody moves the clock of the program that is installed")
	return program
}

func clockMoves(t testing.TB, program string) bool {
	text, err := os.ReadFile(program)
	require.NoError(t, err)
	return bytes.Contains(text, []byte(clockFile))
}

// clockFile is where the program finds the name of the file.
const clockFile = "SOAK_CLOCK"

// command makes a command run on this host, which stands where summer time begins and
// ends.
func (h *soakHost) command(cmd *exec.Cmd) *exec.Cmd {
	cmd.Env = append(os.Environ(), clockFile+"="+h.file, "TZ="+summerZone)
	return cmd
}

const summerZone = "Europe/Berlin"

// wall is the time of day there.
func (h *soakHost) wall() time.Time {
	return time.Now().Round(0).UTC().Add(time.Duration(h.away.wall.Load()))
}

// set sets its clock; no time passes by that. It returns by how much it was set.
func (h *soakHost) set(to time.Time) time.Duration {
	by := to.Sub(h.wall())
	h.away.wall.Add(int64(by))
	return by
}

// pass lets time pass. Nobody must look meanwhile.
func (h *soakHost) pass(d time.Duration) {
	h.away.wall.Add(int64(d))
	h.away.boot.Add(int64(d))
}

// reboot starts the host anew, which has no battery for its clock.
func (h *soakHost) reboot() {
	const up = 20 * time.Second
	var since unix.Timespec
	require.NoError(h.t, unix.ClockGettime(unix.CLOCK_BOOTTIME, &since))
	h.set(time.Unix(0, 0).Add(up))
	h.away.boot.Store(int64(up) - since.Nano())
	h.away.boots.Add(1)
}
