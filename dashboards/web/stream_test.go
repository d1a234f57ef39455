package web

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/dashboards/live"
)

// pipes is a network without a system below it, so that its deadlines follow the
// simulated time.
type pipes struct {
	calls  chan net.Conn
	closed chan struct{}
}

func newPipes() *pipes { return &pipes{make(chan net.Conn), make(chan struct{})} }

func (p *pipes) Accept() (net.Conn, error) {
	select {
	case c := <-p.calls:
		return c, nil
	case <-p.closed:
		return nil, net.ErrClosed
	}
}

func (p *pipes) Close() error   { close(p.closed); return nil }
func (p *pipes) Addr() net.Addr { return &net.UnixAddr{Name: "pipe", Net: "unix"} }

func (p *pipes) dial() net.Conn {
	here, there := net.Pipe()
	p.calls <- there
	return here
}

// streaming is a server in simulated time.
type streaming struct {
	*Server
	hub     *live.Hub
	network *pipes
	stop    context.CancelFunc
	ended   chan error
}

// simulated runs a test in simulated time, against a server that has no logbook:
// a database has a system below it.
func simulated(t *testing.T, test func(*testing.T, *streaming)) {
	synctest.Test(t, func(t *testing.T) {
		start := time.Now()
		hub := live.NewHub(simulatedClock{start})
		s, err := New(Options{Live: hub})
		require.NoError(t, err)
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		b := &streaming{s, hub, newPipes(), cancel, make(chan error, 1)}
		go func() { b.ended <- s.Serve(ctx, b.network) }()
		test(t, b)
		cancel()
		require.NoError(t, <-b.ended)
	})
}

type simulatedClock struct{ start time.Time }

func (c simulatedClock) Boot() time.Duration { return time.Since(c.start) }

// event is one server-sent event as a browser reads it.
type event struct{ kind, data string }

type listener struct {
	net.Conn
	lines *bufio.Reader
}

func (b *streaming) listen(t *testing.T) *listener {
	t.Helper()
	c := b.network.dial()
	_, err := fmt.Fprint(c, "GET /api/v1/live HTTP/1.1\r\nHost: localhost\r\n\r\n")
	require.NoError(t, err)
	lines := bufio.NewReader(c)
	r, err := http.ReadResponse(lines, nil)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, r.StatusCode)
	require.Equal(t, "text/event-stream", r.Header.Get("Content-Type"))
	require.Equal(t, policy, r.Header.Get("Content-Security-Policy"))
	return &listener{c, bufio.NewReader(r.Body)}
}

// next reads an event; false at the end of the stream.
func (l *listener) next() (event, bool) {
	var e event
	for {
		line, err := l.lines.ReadString('\n')
		if err != nil {
			return e, false
		}
		line = strings.TrimSuffix(line, "\n")
		if line == "" {
			return e, true
		}
		key, value, _ := strings.Cut(line, ": ")
		switch key {
		case "event":
			e.kind = value
		case "data":
			e.data += value
		}
	}
}

func (l *listener) must(t *testing.T, kind string) event {
	t.Helper()
	e, ok := l.next()
	require.True(t, ok, "the stream ended")
	require.Equal(t, kind, e.kind)
	require.True(t, json.Valid([]byte(e.data)), e.data)
	return e
}

func TestStreamTellsHowThingsStand(t *testing.T) {
	simulated(t, func(t *testing.T, b *streaming) {
		b.hub.Publish(live.Channel{Name: "bench", Battery: "line\nbreak\r\n\nevent: fake\ndata: x"})
		l := b.listen(t)
		defer l.Close()
		first := l.must(t, "channels").data
		assert.Contains(t, first, `"name":"bench"`)
		assert.Contains(t, first, `\nevent: fake`)

		began := time.Now()
		for range 1000 {
			b.hub.Publish(live.Channel{Name: "bench", Used: 1000})
		}
		assert.Contains(t, l.must(t, "channel").data, `"used":1000`)
		assert.LessOrEqual(t, time.Since(began), lookEvery)

		l.must(t, "heartbeat")
		assert.InDelta(t, quiet.Seconds(), time.Since(began).Seconds(), 2, "one event for a thousand publications")
	})
}

func TestOldReadingIsTakenBackOnTheStream(t *testing.T) {
	simulated(t, func(t *testing.T, b *streaming) {
		b.hub.Publish(live.Channel{Name: "bench", Reading: &live.Reading{At: time.Now(), Volts: 13.7}})
		l := b.listen(t)
		defer l.Close()
		assert.NotContains(t, l.must(t, "channels").data, `"reading":null`)
		for {
			if e, ok := l.next(); !ok || e.kind == "channel" {
				assert.Contains(t, e.data, `"reading":null`)
				return
			}
		}
	})
}

func TestStalledBrowserIsCutOff(t *testing.T) {
	simulated(t, func(t *testing.T, b *streaming) {
		stalled, reading := b.listen(t), b.listen(t)
		defer stalled.Close()
		defer reading.Close()
		stalled.must(t, "channels")
		reading.must(t, "channels")
		for n := range 200 {
			began := time.Now()
			b.hub.Publish(live.Channel{Name: "bench", Used: n})
			assert.Zero(t, time.Since(began), "nobody holds up the recording")
			assert.Contains(t, reading.must(t, "channel").data, fmt.Sprintf(`"used":%d,`, n))
		}
		synctest.Wait()
		b.streams.mu.Lock()
		defer b.streams.mu.Unlock()
		assert.Equal(t, 1, b.streams.all)
	})
}

func TestStopDoesNotWaitForStreams(t *testing.T) {
	simulated(t, func(t *testing.T, b *streaming) {
		for n := range 5 {
			l := b.listen(t)
			defer l.Close()
			if n > 0 {
				l.must(t, "channels") // the first one never reads
			}
		}
		began := time.Now()
		b.stop()
		err := <-b.ended
		b.ended <- err
		assert.NoError(t, err)
		assert.Less(t, time.Since(began), 2*time.Second)
	})
}

func TestS7StreamsAreLimited(t *testing.T) {
	s := newStreams()
	for n := range 64 / 8 {
		for range 8 {
			require.NoError(t, s.enter(fmt.Sprint(n)))
		}
		assert.Error(t, s.enter(fmt.Sprint(n)))
	}
	var full *problem
	require.ErrorAs(t, s.enter("another"), &full)
	assert.Equal(t, http.StatusServiceUnavailable, full.Status)
	s.leave("0")
	require.NoError(t, s.enter("another"))
	s.leave("another")
	require.NoError(t, s.enter("0"))
	require.ErrorAs(t, s.enter("0"), &full)
	assert.Equal(t, http.StatusTooManyRequests, full.Status)
	assert.NotEmpty(t, full.header.Get("Retry-After"))
}
