//go:build linux

package e2e

import (
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pushTo is the setting by which everything is pushed to a server.
func pushTo(url string) string {
	return "  - influx: {url: \"" + url + "\", database: garage, age: 1s, points: 300}\n"
}

// The server is away for most of a night in which the program is killed again and
// again. In the end every row of the journal is there, once, with its own time.
func TestKilledInAnOutage(t *testing.T) {
	t.Parallel()
	kills, longest := howMany()
	kills /= 2
	k := newKilling(t, kills, longest)
	s := newShelf(t)
	k.place.settings = "push:\n" + pushTo(s.server.URL)
	k.place.write(t)
	s.open.Store(true)
	for n := range kills {
		switch n {
		case kills / 5:
			s.open.Store(false)
		case kills - kills/10:
			s.open.Store(true)
		}
		k.alive()
		k.kill()
	}
	k.rest()
	k.program = serve(t, k.place.config)
	testhelp.Until(t, "everything pushed", func() bool { p := k.program.view("bench").Push; return len(p) == 1 && p[0].Pending == 0 })
	k.program.stop()

	rows := rowsOf(t, whole(recorded(t, k.place.data, "bench")))
	got := s.all("charge_sample,battery=")
	require.Empty(t, got, "there is no battery")
	got = s.all("charge_sample,")
	// A line may have been pushed a moment before the kill that took it from the journal.
	require.LessOrEqual(t, len(got), len(rows)+kills)
	have := map[int64]found{}
	for _, p := range got {
		at := p.at.Sub(got[0].at).Milliseconds()
		assert.NotContains(t, have, at, "at one time one point, in one series")
		have[at] = p
	}
	missing := 0
	for _, r := range rows {
		p, ok := have[int64((r.at-rows[0].at)*1000+0.5)]
		if !ok {
			missing++
			continue
		}
		require.Equal(t, r.amps, p.fields["current"])
	}
	assert.Zero(t, missing, "of %d", len(rows))
	assert.Len(t, s.all("charge_session,"), 1)
	t.Logf("%d kills, %d rows, %d points there, %d came again", kills, len(rows), len(got), s.twice)
}

// burst is how quickly so many lines are said.
type burst struct {
	lines int
	pause time.Duration
}

// However dead the servers are to which everything is pushed, and however many browsers look
// at the page and read nothing of it, no line is lost, none is late, and a stop takes less
// than five seconds.
func TestDeadServersHoldNothingUp(t *testing.T) {
	t.Parallel()
	silent := func(answer string) string {
		return "http://" + testhelp.Serve(t, func(c net.Conn) {
			for k := 0; k < len(answer); k++ {
				time.Sleep(time.Second)
				if _, err := io.WriteString(c, answer[k:k+1]); err != nil {
					return
				}
			}
			_, _ = io.Copy(io.Discard, c)
		})
	}
	gone := httptest.NewServer(http.NotFoundHandler())
	gone.Close()
	angry := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusUnauthorized) }))
	defer angry.Close()

	at, port := newPlace(t), newPort(t)
	at.settings = "push:\n" + pushTo(silent("")) + pushTo(silent("HTTP/1.1 204 No Content\r\n\r\n")) + pushTo(gone.URL) + pushTo(angry.URL) + pushTo("http://192.0.2.1:9")
	at.channel(t, "bench", port.source())
	p := serve(t, at.config)
	p.untilUp("bench")
	page := strings.Trim(strings.TrimPrefix(p.page, "http:"), "/")
	for k := range 50 { // so many of one machine are let in, and no more
		from := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.IPv4(127, 0, 0, byte(2+k/8))}}
		browser, err := from.Dial("tcp", page)
		require.NoError(t, err)
		defer browser.Close()
		_, err = io.WriteString(browser, "GET /api/v1/live HTTP/1.1\r\nHost: "+page+"\r\n\r\n")
		require.NoError(t, err)
		answer := make([]byte, len("HTTP/1.1 200"))
		_, err = io.ReadFull(browser, answer)
		require.NoError(t, err)
		require.Equal(t, "HTTP/1.1 200", string(answer), "and reads no more")
	}
	paces := []burst{{1000, 10 * time.Millisecond}, {2000, time.Millisecond}}
	if long { // ten minutes, and one
		paces = []burst{{60_000, 10 * time.Millisecond}, {60_000, time.Millisecond}}
	}
	n := madeup.Named("mower-float")
	n.Layout, n.Meter.Every, n.Charger.FloatFor = madeup.Commas, 1, 60*3600
	lines := play(n).lines
	clock, began, idle := capture.SystemClock{}, time.Now(), p.resident()
	boot, told := clock.Boot(), 0
	for _, at := range paces {
		due := time.Now()
		for range at.lines {
			due = due.Add(at.pause)
			time.Sleep(time.Until(due))
			port.say(lines[told])
			told++
		}
	}
	lines = lines[:told]
	said := rowsOf(t, lines)
	p.untilRead("bench", said[len(said)-1].at-said[0].at)
	push := p.view("bench").Push
	require.Len(t, push, 5)
	testhelp.Until(t, "their being known for dead", func() bool {
		push, dead := p.view("bench").Push, 0
		for _, one := range push {
			if one.Since != nil && one.Why != "" {
				dead++
			}
		}
		return dead >= 2
	})
	_, metrics := p.get("/metrics")
	assert.Regexp(t, `amphora_push_pending_points\{target="influx [^"]+ garage"\} [1-9]`, metrics)
	held := p.resident()
	took := p.stop()
	assert.Equal(t, said, rowsOf(t, whole(recorded(t, at.data, "bench"))))

	var late []time.Duration // from the far end of the port to the stamp in the journal
	for _, r := range recorded(t, at.data, "bench") {
		if r.flags&(capture.NotLine|capture.Fragment) == 0 {
			late = append(late, r.boot-boot-port.said[len(late)].at.Sub(began))
		}
	}
	slices.Sort(late)
	worst := late[len(late)*99/100]
	t.Logf("%d lines; %.0f MiB before them, %.0f after", len(lines), idle, held)
	promised(t, "99 of 100 in the journal", worst, 50*time.Millisecond)
	if !raced {
		assert.Less(t, held-idle, 32.0, "MiB")
	}
	promised(t, "the stop", took, 5*time.Second)
}
