//go:build linux

package e2e

import (
	"bufio"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// card is a disk of the program's own that can be made to die: a file with a real file
// system in it, which turns read-only for good when the system meets an error there. It is
// mounted in a name space of its own, which ends with the test.
type card struct {
	t      testing.TB
	image  string
	folder string
	holder string // process that keeps the name space
	inside string // the folder, as seen from out here
	trip   string // what makes the system believe in an error
}

// newCard puts the card where a place has its data. Whoever made the name space may use
// the file system, and root alone may mount one.
func newCard(t testing.TB, at *place) *card {
	t.Helper()
	mkfs := testhelp.Needed(t, "mkfs.ext4", "e2fsprogs")
	if os.Geteuid() != 0 {
		t.Skip("only root may mount a disk that can die")
	}
	require.NoError(t, os.MkdirAll(at.data, 0o750))
	image := filepath.Join(t.TempDir(), "card")
	require.NoError(t, os.WriteFile(image, nil, 0o600))
	require.NoError(t, os.Truncate(image, 32<<20))
	out, err := exec.Command(mkfs, "-q", image).CombinedOutput()
	require.NoError(t, err, "%s", out)
	holder := exec.Command("unshare", "-m", "sh", "-c", `mount -o loop,errors=remount-ro "$0" "$1" && stat -c %Hd:%Ld "$1" && exec cat`, image, at.data)
	hold, err := holder.StdinPipe()
	require.NoError(t, err)
	pipe, err := holder.StdoutPipe()
	require.NoError(t, err)
	holder.Stderr = holder.Stdout
	require.NoError(t, holder.Start())
	t.Cleanup(func() {
		hold.Close()
		_ = holder.Wait()
	})
	said, _ := bufio.NewReader(pipe).ReadString('\n')
	device, err := os.Readlink("/sys/dev/block/" + strings.TrimSpace(said))
	if err != nil {
		t.Skip("this machine mounts no file as a disk: " + said)
	}
	pid := strconv.Itoa(holder.Process.Pid)
	return &card{t, image, at.data, pid, "/proc/" + pid + "/root" + at.data, "/sys/fs/ext4/" + filepath.Base(device) + "/trigger_fs_error"}
}

// command is one that sees the card.
func (c *card) command(args ...string) *exec.Cmd {
	return exec.Command("nsenter", append([]string{"-m", "-t", c.holder}, args...)...)
}

func (c *card) serve(config string) *program {
	c.t.Helper()
	p := launch(c.t, c.command(binary, "serve", "--config", config))
	p.waitForPage()
	return p
}

// die lets the system meet an error.
func (c *card) die() {
	c.t.Helper()
	require.NoError(c.t, os.WriteFile(c.trip, []byte("1"), 0))
	testhelp.Until(c.t, "a card that takes nothing", func() bool {
		return os.WriteFile(filepath.Join(c.inside, "trial"), []byte("x"), 0o600) != nil
	})
}

// mend does what somebody would do who finds it so.
func (c *card) mend() {
	c.t.Helper()
	for _, args := range [][]string{{"umount", c.folder}, {"e2fsck", "-fy", c.image}, {"mount", "-o", "loop", c.image, c.folder}} {
		out, err := c.command(args...).CombinedOutput()
		if mended, ok := errors.AsType[*exec.ExitError](err); ok && args[0] == "e2fsck" && mended.ExitCode() == 1 {
			continue // it found errors, and they are gone
		}
		require.NoError(c.t, err, "%v: %s", args, out)
	}
}

// A memory card that has had enough turns read-only under the open files, while its name
// in the list of mounts still says rw. It is told of within ten seconds, wherever somebody
// may look; the charge goes on in memory, and what had been recorded can be read.
func TestCardThatTurnsReadOnly(t *testing.T) {
	t.Parallel()
	at, port, post := newPlace(t), newPort(t), newInbox(t)
	post.turn(well)
	disk := newCard(t, at)
	at.settings = "notify: [{webhook: {url: '" + post.server.URL + "'}}]\n"
	at.channel(t, "bench", port.source())
	p := disk.serve(at.config)
	night := mower(20)
	port.sayAll(night.lines[:500])
	p.untilHeard("bench", 500)
	testhelp.Until(t, "them safe", func() bool { return p.view("bench").Journal.Pending == 0 })

	disk.die()
	dead := time.Now()
	port.sayAll(night.lines[500:])
	testhelp.Until(t, "the fault on the page", func() bool { return p.view("bench").Journal.Degraded != "" })
	status, body := p.get("/-/healthy")
	assert.Equal(t, 503, status)
	assert.Regexp(t, unix.EROFS.Error()+"|"+unix.EIO.Error(), body)
	assert.EqualValues(t, 1, p.value(`amphora_journal_degraded{channel="bench"}`))
	promised(t, "that the card is dead is shown", time.Since(dead), 10*time.Second)
	testhelp.Until(t, "the warning", func() bool { return len(eventsOf(post.came(well))["raised journal-degraded"]) == 1 })
	promised(t, "the warning of the dead card", time.Since(dead), 10*time.Second)
	p.untilRead("bench", night.end)
	assert.Positive(t, p.view("bench").Session.ChargeInAh, "the charge goes on")
	assert.GreaterOrEqual(t, p.view("bench").Journal.Pending, len(night.lines)-500)
	asked := time.Now()
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGTERM))
	<-p.exited
	promised(t, "the stop", time.Since(asked), 5*time.Second)
	assert.Error(t, p.err, "lines are lost with it, and nobody is told that all is well")
	assert.Contains(t, p.log.String(), "lines could not be saved")

	// Whoever starts it again, a supervisor, say, finds it at work: what was recorded is
	// there, the meter is read, and people are told.
	p = disk.serve(at.config)
	require.Len(t, p.sessions(), 1, "told from the journal, or kept")
	port.say("8,8,8")
	p.untilHeard("bench", 1)
	testhelp.Until(t, "the fault on the page again", func() bool { return p.view("bench").Journal.Degraded != "" })
	status, _ = p.get("/-/healthy")
	assert.Equal(t, 503, status)
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGTERM))
	<-p.exited

	disk.mend()
	p = disk.serve(at.config)
	port.say("9,9,9")
	p.untilHeard("bench", 1)
	p.stop()
	have := map[string]int{}
	for _, r := range recorded(t, disk.inside, "bench") {
		have[r.text]++
	}
	for _, line := range append(night.lines[:500:500], "9,9,9") {
		assert.Equal(t, 1, have[line], line)
	}
}

// After a fault, or by a mistake in /etc/fstab, a disk is mounted read-only when the program
// starts. It reads the meter all the same, shows what it knows, and tells people.
func TestStartOnAReadOnlyDisk(t *testing.T) {
	t.Parallel()
	at, port, post := newPlace(t), newPort(t), newInbox(t)
	post.turn(well)
	at.settings = "notify: [{webhook: {url: '" + post.server.URL + "'}}]\n"
	at.channel(t, "bench", port.source())
	p := serve(t, at.config)
	night := mower(20)
	port.sayAll(night.lines)
	p.untilRead("bench", night.end)
	p.stop() // leaves nothing beside the logbook, that a reader could go on with

	const readOnly = `mount --bind "$0" "$0" && mount -o remount,bind,ro "$0" && ! touch "$0/trial" && exec "$@"`
	if out, err := exec.Command("unshare", "-rm", "sh", "-c", readOnly, at.data, "true").CombinedOutput(); err != nil {
		t.Skipf("this machine mounts no folder read-only: %s", out)
	}
	p = launch(t, exec.Command("unshare", "-rm", "sh", "-c", readOnly, at.data, binary, "serve", "--config", at.config))
	p.waitForPage()
	require.Len(t, p.sessions(), 1, "what is in the logbook is shown")
	port.say("9,9,9")
	p.untilHeard("bench", 1)
	testhelp.Until(t, "the fault", func() bool { status, _ := p.get("/-/healthy"); return status == 503 })
	testhelp.Until(t, "the warning", func() bool { return len(eventsOf(post.came(well))["raised journal-degraded"]) == 1 })
	assert.Equal(t, 1, p.log.Count("the logbook cannot be written until the next start"))
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGTERM))
	<-p.exited
}
