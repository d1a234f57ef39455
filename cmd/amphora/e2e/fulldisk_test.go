//go:build linux

package e2e

import (
	"bufio"
	"fmt"
	"net"
	"strings"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// When the disk is full lines wait in memory, everybody is told, and nothing is
// lost once there is room again.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	at, port, post := newPlace(t), newPort(t), newInbox(t)
	post.turn(well)
	disk := newSmallDisk(t, at)
	at.settings = fmt.Sprintf("notify: [{webhook: {url: %q}}]\n", post.server.URL)
	at.channel(t, "bench", port.source())
	told := func(what string) int { return len(eventsOf(post.came(well))[what]) }
	p := disk.serve(at.config)
	night := mower(20)
	port.sayAll(night.lines[:500])
	p.untilHeard("bench", 500)

	disk.fill()
	full := time.Now()
	port.sayAll(night.lines[500:])
	testhelp.Until(t, "the fault", func() bool {
		status, body := p.get("/-/healthy")
		return status == 503 && strings.Contains(body, "no space left") // the logbook may be first to find out
	})
	promised(t, "that the disk is full is told", time.Since(full), 10*time.Second)
	testhelp.Until(t, "the fault on the page", func() bool { return p.view("bench").Journal.Degraded != "" })
	assert.EqualValues(t, 1, p.value(`amphora_journal_degraded{channel="bench"}`))
	promised(t, "that the disk is full is shown", time.Since(full), 10*time.Second)
	testhelp.Until(t, "the warning", func() bool { return told("raised journal-degraded") > 0 })
	promised(t, "the warning of the full disk", time.Since(full), 10*time.Second)
	p.untilRead("bench", night.end)

	disk.room()
	testhelp.Until(t, "health", func() bool { status, _ := p.get("/-/healthy"); return status == 200 })
	testhelp.Until(t, "health on the page", func() bool { c := p.view("bench"); return c.Journal.Degraded == "" && c.Journal.Pending == 0 })
	have := make(map[string]int)
	for _, r := range recorded(t, disk.inside, "bench") {
		have[r.text]++
	}
	for _, s := range port.said {
		assert.Equal(t, 1, have[s.text], s.text)
	}
	require.Len(t, p.sessions(), 1)
	assert.Zero(t, p.value(`amphora_journal_degraded{channel="bench"}`))
	assert.Equal(t, 1, told("raised journal-degraded"), "once")
	p.stop()
}

// A disk that stays full for longer than memory has room for costs the oldest lines. How
// many that are at most is said.
func TestFullDiskForLongerThanTheMemory(t *testing.T) {
	t.Parallel()
	const before, after = 500, 101_000 // memory has room for a hundred thousand
	bridge, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer bridge.Close()
	at := newPlace(t)
	disk := newSmallDisk(t, at)
	at.channel(t, "bench", fmt.Sprintf("tcp: {address: %q}", bridge.Addr()))
	p := disk.serve(at.config)
	conn, err := bridge.Accept()
	require.NoError(t, err)
	defer conn.Close()
	row := func(k int) string { return fmt.Sprintf("%d.0,%.3f,2.000", k, 12+float64(k)*1e-5) }
	said := 0
	say := func(lines int) {
		text := bufio.NewWriter(conn)
		for range lines {
			_, err := fmt.Fprintf(text, "%s\r\n", row(said))
			require.NoError(t, err)
			said++
		}
		require.NoError(t, text.Flush())
		p.untilHeard("bench", said)
	}
	say(before)
	testhelp.Until(t, "what came so far on the disk", func() bool { return p.view("bench").Journal.Pending == 0 })
	disk.fill()
	say(after)
	testhelp.Until(t, "the loss", func() bool { return p.view("bench").Journal.Lost > 0 })
	lost := p.view("bench").Journal.Lost
	assert.EqualValues(t, lost, p.value(`amphora_journal_lost_lines_total{channel="bench"}`))

	disk.room()
	testhelp.Until(t, "the rest on the disk", func() bool { j := p.view("bench").Journal; return j.Degraded == "" && j.Pending == 0 })
	say(10)
	p.stop()
	have := make(map[string]bool)
	for _, r := range recorded(t, disk.inside, "bench") {
		have[r.text] = true
	}
	missing := int64(0)
	for k := range said {
		if !have[row(k)] {
			missing++
		}
	}
	assert.LessOrEqual(t, missing, lost)
	assert.Less(t, lost-missing, int64(before), "but for what a last write had brought to the disk, which nobody could be sure of")
}
