//go:build linux

package e2e

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/capture"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A host has no clock of its own, and half a minute ago it began with the date of its last
// shutdown. Here it is a name space with a boot clock of its own, files that such a host has and
// none of its clocks. The date it begins with happens to be right, and the network says so.
func TestHostThatBeginsWithTheDateOfItsLastShutdown(t *testing.T) {
	t.Parallel()
	network := t.TempDir()
	host := func(args ...string) *exec.Cmd {
		const set = `mount -t tmpfs none /var/lib && mkdir -p /var/lib/systemd/timesync && touch /var/lib/systemd/timesync/clock &&
			mount -t tmpfs none /run && mkdir -p /run/systemd/timesync && mount --bind "$0" /run/systemd/timesync &&
			{ ! test -e /sys/class/rtc || mount -t tmpfs none /sys/class/rtc; } && exec "$@"`
		up := int(capture.SystemClock{}.Boot().Seconds())
		return exec.Command("unshare", append([]string{"-rmT", "--boottime", fmt.Sprint(30 - up), "--fork", "--kill-child",
			"sh", "-c", set, network}, args...)...)
	}
	if out, err := host("true").CombinedOutput(); err != nil {
		if os.Getenv("AMPHORA_CI") != "" && os.Geteuid() == 0 {
			t.Fatalf("no host with another boot: %s", out)
		}
		t.Skipf("this machine lets us make no host with another boot: %s", out)
	}
	at, port := newPlace(t), newPort(t)
	at.channel(t, "bench", port.source())
	p := launch(t, host(binary, "serve", "--config", at.config))
	p.waitForPage()
	night := mower(20)
	unset, set := night.lines[:200], night.lines[200:240]
	port.sayAll(unset)
	p.untilRead("bench", rowsOf(t, unset)[150].at) // the last ones wait for those that follow
	var before, after live.Channel
	testhelp.Until(t, "the charge", func() bool {
		before = p.view("bench")
		return before.Session != nil
	})
	assert.False(t, before.ClockSet)
	assert.Equal(t, 1970, before.Session.Started.Year())

	out, err := host(binary, "battery", "add", "mower", "--chemistry", "agm", "--capacity", "20Ah", "--data", at.data).CombinedOutput()
	require.NoError(t, err, "%s", out)
	note := []string{binary, "reading", "add", "mower", "--volts", "12.7V", "--data", at.data}
	out, err = host(note...).CombinedOutput()
	require.Error(t, err)
	assert.Contains(t, string(out), "it would be dated 1970, since nobody has set the clock of this host yet")
	out, err = host(append(note, "--at", "2026-03-14T21:40")...).CombinedOutput()
	require.NoError(t, err, "%s", out)

	require.NoError(t, os.WriteFile(filepath.Join(network, "synchronized"), nil, 0o600))
	said := time.Now()
	port.sayAll(set)
	testhelp.Until(t, "the charge by its new date", func() bool {
		after = p.view("bench")
		return after.Session != nil && after.Session.Started.Year() > 1970
	})
	assert.True(t, after.ClockSet)
	began := said.Add(time.Duration((float64(after.Session.StartS) - rowsOf(t, set)[0].at) * float64(time.Second)))
	assert.WithinDuration(t, began, *after.Session.Started, 5*time.Second)
	assert.Equal(t, before.Session.StartS, after.Session.StartS)
	testhelp.Until(t, "one charge, by its new name", func() bool { return len(p.sessions()) == 1 }) // the old one is on its way out
	out, err = host(note...).CombinedOutput()
	require.NoError(t, err, "%s", out)

	var marks []string
	for _, r := range recorded(t, at.data, "bench") {
		if r.flags&capture.Marked != 0 {
			marks = append(marks, r.text)
		}
	}
	assert.Contains(t, strings.Join(marks, "\n"), "clock", "the jump is in the journal")
}
