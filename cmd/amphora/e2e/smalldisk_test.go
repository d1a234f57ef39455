//go:build linux

package e2e

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// smallDisk is a disk of the program's own, in a name space of its own, which
// outlasts the program. It can be filled to the last byte, and be given room again.
type smallDisk struct {
	t      testing.TB
	folder string
	holder string // process that keeps the name space
	inside string // the folder, as seen from out here
}

// newSmallDisk puts the disk where a place has its data.
func newSmallDisk(t testing.TB, at *place) *smallDisk {
	t.Helper()
	require.NoError(t, os.MkdirAll(at.data, 0o750))
	holder := exec.Command("unshare", "-rm", "sh", "-c", `mount -t tmpfs -o size=64m none "$0" && echo mounted && exec cat`, at.data)
	hold, err := holder.StdinPipe()
	require.NoError(t, err)
	out, err := holder.StdoutPipe()
	require.NoError(t, err)
	holder.Stderr = holder.Stdout
	require.NoError(t, holder.Start())
	t.Cleanup(func() {
		hold.Close()
		_ = holder.Wait()
	})
	if said, _ := bufio.NewReader(out).ReadString('\n'); said != "mounted\n" {
		if os.Getenv("AMPHORA_CI") != "" && os.Geteuid() == 0 {
			t.Fatalf("no disk of its own for the program: %s", said)
		}
		t.Skipf("this machine lets us make no small disk: %s", said)
	}
	pid := strconv.Itoa(holder.Process.Pid)
	return &smallDisk{t: t, folder: at.data, holder: pid, inside: "/proc/" + pid + "/root" + at.data}
}

// serve starts the daemon on the disk and waits until its page is there.
func (d *smallDisk) serve(config string) *program {
	d.t.Helper()
	p := launch(d.t, d.command(binary, "serve", "--config", config))
	p.waitForPage()
	return p
}

// command is one that sees the disk. The process it starts is that of the command.
func (d *smallDisk) command(args ...string) *exec.Cmd {
	return exec.Command("nsenter", append([]string{"--preserve-credentials", "-U", "-m", "-t", d.holder}, args...)...)
}

// fill takes away all the room that is left.
func (d *smallDisk) fill() {
	d.t.Helper()
	testhelp.Until(d.t, "a full disk", func() bool {
		var s unix.Statfs_t
		require.NoError(d.t, unix.Statfs(d.inside, &s))
		used := int64(s.Blocks-s.Bfree) * int64(s.Bsize)
		// It fails where more was written meanwhile.
		return d.resize(strconv.FormatInt(used, 10)) == nil
	})
}

// room gives it back.
func (d *smallDisk) room() {
	d.t.Helper()
	require.NoError(d.t, d.resize("1g"))
}

func (d *smallDisk) resize(size string) error {
	if out, err := d.command("mount", "-o", "remount,size="+size, "none", d.folder).CombinedOutput(); err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	return nil
}
