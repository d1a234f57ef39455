//go:build linux

package e2e

import (
	"bytes"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A receiver that fails, hangs and recovers, and a program that is killed while it
// cannot deliver, and while nobody can know whether it has: each event arrives once,
// and under the name that it had in every try.
func TestMessagesOutlastAKill(t *testing.T) {
	t.Parallel()
	at, port, post := newPlace(t), newPort(t), newInbox(t)
	at.settings = fmt.Sprintf("notify: [{webhook: {url: %q}}]\n", post.server.URL)
	at.channel(t, "bench", port.source(), "limits: {charge: 0.5Ah, silence: 10h}")
	night := mower(20)
	evening, morning := night.lines[:len(night.lines)/3], night.lines[len(night.lines)/3:]
	p := serve(t, at.config)
	p.untilUp("bench")
	port.sayAll(evening)
	p.untilHeard("bench", len(evening))
	post.awaitTry(t)

	p.kill()
	post.turn(hanging)
	p = serve(t, at.config)
	post.awaitTry(t)

	p.kill()
	post.turn(well)
	p = serve(t, at.config)
	p.untilUp("bench")
	testhelp.Until(t, "what waited", func() bool { return len(eventsOf(post.came(well))["raised over-capacity"]) > 0 })
	port.sayAll(morning)
	p.untilRead("bench", night.end)
	testhelp.Until(t, "the end of the charge", func() bool { return len(eventsOf(post.came(well))["complete complete"]) > 0 })
	p.stop()

	arrived := eventsOf(post.came(well))
	for _, what := range []string{"raised over-capacity", "recovered recovered", "complete complete"} {
		assert.Len(t, arrived[what], 1, "%s: %v", what, arrived)
	}
	for _, before := range []mood{down, hanging} {
		tried := eventsOf(post.came(before))
		assert.NotEmpty(t, tried, before)
		for what, names := range tried {
			for _, name := range names {
				assert.Contains(t, arrived[what], name, "%s, tried while %s", what, before)
			}
		}
	}
}

// What a try of the settings sends can be proven to come from here by anybody who has
// the key and a tool for it.
func TestATryOfTheSettingsIsSigned(t *testing.T) {
	t.Parallel()
	openssl := testhelp.Needed(t, "openssl", "openssl")
	at, port, post := newPlace(t), newPort(t), newInbox(t)
	post.turn(well)
	written := filepath.Join(t.TempDir(), "written")
	at.settings = fmt.Sprintf("notify:\n  - webhook: {url: %q, headers: {X-Room: garage}, signing-key-file: %s}\n", post.server.URL, testhelp.File(t, "sesame")) +
		"  - command: [/bin/sh, -c, 'printf %s \"$0\" > " + written + "', '{{.Title}}: {{.Message}}']\n"
	at.channel(t, "bench", port.source())
	status, out, said := amphora(t, "notify", "test", "--config", at.config)
	require.Zero(t, status, said)
	assert.Regexp(t, `(?m)^webhook 127\.0\.0\.1:\d+: delivered, .*\ncommand sh: delivered`, out)

	came := post.came(well)
	require.Len(t, came, 1)
	m := came[0]
	assert.Equal(t, "garage", m.header.Get("X-Room"))
	assert.Equal(t, m.ID, m.header.Get("Amphora-Id"))
	digest := exec.Command(openssl, "dgst", "-sha256", "-hmac", "sesame", "-r")
	digest.Stdin = bytes.NewReader(m.body)
	answer, err := digest.Output()
	require.NoError(t, err)
	assert.Equal(t, m.header.Get("Amphora-Signature"), "sha256="+strings.Fields(string(answer))[0])
	got, err := os.ReadFile(written)
	require.NoError(t, err)
	assert.Equal(t, m.Title+": "+m.Message, string(got))

	post.turn(down)
	status, out, _ = amphora(t, "notify", "test", "--config", at.config)
	assert.Equal(t, 1, status)
	assert.Contains(t, out, "failed: it answers 503 Service Unavailable")
}

// Receivers that never answer, a command that never ends and a mail server that says
// nothing: the recording does not wait for them, nor does a stop.
func TestDeadReceiversHoldNothingUp(t *testing.T) {
	t.Parallel()
	mute, err := net.Listen("tcp", "127.0.0.1:0") // the system takes the connection, nobody speaks
	require.NoError(t, err)
	defer mute.Close()
	at, port, post := newPlace(t), newPort(t), newInbox(t)
	post.turn(hanging)
	begun := filepath.Join(t.TempDir(), "begun")
	at.settings = fmt.Sprintf("notify:\n  - webhook: {url: %q}\n", post.server.URL) +
		"  - command: [/bin/sh, -c, 'touch " + begun + "; sleep 600; true']\n" +
		"  - email: {server: '" + mute.Addr().String() + "', from: a@house.example, to: [b@house.example]}\n"
	at.channel(t, "bench", port.source(), "limits: {charge: 0.5Ah}")
	night := mower(20)
	evening, rest := night.lines[:len(night.lines)/3], night.lines[len(night.lines)/3:]
	p := serve(t, at.config)
	p.untilUp("bench")
	port.sayAll(evening)
	post.awaitTry(t)
	testhelp.Until(t, "the command", func() bool { _, err := os.Stat(begun); return err == nil })
	port.sayAll(rest)
	p.untilRead("bench", night.end)
	_, page := p.get("/metrics")
	assert.NotRegexp(t, `amphora_notifications_total\{result="delivered",[^}]*\} [1-9]`, page, "nobody has got anything")
	p.stop()
	assert.Equal(t, rowsOf(t, night.lines), rowsOf(t, whole(recorded(t, at.data, "bench"))))
}

// A meter that falls silent in mid-charge is told of once, unplugged or not.
func TestASilentMeterIsToldOnce(t *testing.T) {
	t.Parallel()
	at, port, post := newPlace(t), newPort(t), newInbox(t)
	post.turn(well)
	at.settings = fmt.Sprintf("notify: [{webhook: {url: %q}}]\n", post.server.URL)
	at.channel(t, "bench", port.source(), "limits: {silence: 2s}")
	night := mower(20)
	p := serve(t, at.config)
	p.untilUp("bench")
	port.sayAll(night.lines[:len(night.lines)/3])
	silent := func() int { return len(eventsOf(post.came(well))["raised meter-silent"]) }
	testhelp.Until(t, "the message", func() bool { return silent() > 0 })
	port.unplug()
	testhelp.Until(t, "the loss", func() bool { return !p.view("bench").Source.Up })
	port.plug()
	p.untilUp("bench")
	port.sayAll(night.lines[len(night.lines)/3 : len(night.lines)/2])
	testhelp.Until(t, "the meter again", func() bool { return p.log.Count("cleared: meter-silent") > 0 })
	p.stop()
	assert.Equal(t, 1, silent())
}

// Quiet hours, and the times in a message, are those of the host's zone. What they hold
// back waits through a stop, and comes together.
func TestQuietHoursAreThoseOfTheHost(t *testing.T) {
	t.Parallel()
	at, port, post := newPlace(t), newPort(t), newInbox(t)
	post.turn(well)
	zone := time.FixedZone("nine hours east", 9*3600)
	now := time.Now().In(zone)
	served := func() *program {
		cmd := exec.Command(binary, "serve", "--config", at.config)
		cmd.Env = append(os.Environ(), "TZ=Etc/GMT-9") // which is east, by POSIX
		p := launch(t, cmd)
		p.waitForPage()
		return p
	}
	tell := fmt.Sprintf("notify: [{webhook: {url: %q}}]\n", post.server.URL)
	at.settings = tell + fmt.Sprintf("telling: {quiet-hours: '%s-%s'}\n", now.Add(-time.Hour).Format("15:04"), now.Add(2*time.Hour).Format("15:04"))
	at.channel(t, "bench", port.source(), "limits: {charge: 0.5Ah, silence: 10h}")
	p := served()
	p.untilUp("bench")
	night := mower(20)
	port.sayAll(night.lines)
	p.untilRead("bench", night.end)
	p.stop()
	assert.Empty(t, post.came(well), "in quiet hours nobody is told of what is no alarm")

	at.settings = tell
	at.write(t)
	p = served()
	testhelp.Until(t, "the message", func() bool { return len(post.came(well)) > 0 })
	p.stop()
	m := post.came(well)[0]
	require.GreaterOrEqual(t, len(m.Events), 2)
	lines := strings.Split(m.Message, "\n")
	for k, e := range m.Events {
		assert.Equal(t, e.At.In(zone).Format("15:04"), strings.Fields(lines[k])[0])
	}
}
