package influx

import (
	"log/slog"
	"net/http"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/dashboards/push"
	"amphora/dashboards/push/influx/stores"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// house is a daemon as far as a sink can tell: channels with a journal each.
type house struct {
	t      testing.TB
	dir    string
	server *Server
	log    testhelp.Log
	sink   push.Sink

	every    time.Duration // between two readings
	channels []string
	journal  map[string][]push.Record
}

func newHouse(t testing.TB, s http.RoundTripper, channels ...string) *house {
	h := &house{
		t: t, dir: stores.Dir(t), channels: channels, every: time.Second, journal: map[string][]push.Record{},
		server: &Server{URL: "http://store.example:8086", Database: "garage", transport: s},
	}
	h.open()
	return h
}

// open starts the sink and tells it what it has not safe.
func (h *house) open() {
	h.t.Helper()
	var err error
	h.sink, err = h.server.Open(push.Host{Dir: h.dir, Log: slog.New(slog.NewTextHandler(&h.log, nil))})
	require.NoError(h.t, err)
	for _, c := range h.channels {
		after := h.sink.After(c)
		for _, r := range h.journal[c] {
			if r.Seq > after {
				h.sink.Take(r)
			}
		}
	}
}

// kill ends the sink as SIGKILL would: nothing more is written.
func (h *house) kill() {
	k := h.sink.(*sink)
	k.cancel()
	<-k.done
}

// measure lets so many seconds pass, with readings of every channel.
func (h *house) measure(seconds int) {
	for range time.Duration(seconds) * time.Second / h.every {
		time.Sleep(h.every)
		h.reading(time.Now())
	}
}

// measureAtOnce takes so many readings as if time had passed between them.
func (h *house) measureAtOnce(readings int) {
	for k := range readings {
		h.reading(time.Now().Add(time.Duration(k) * h.every))
	}
}

// reading takes one reading of every channel.
func (h *house) reading(at time.Time) {
	for _, c := range h.channels {
		seq := uint64(len(h.journal[c]) + 1)
		r := push.Record{Channel: c, Seq: seq, Samples: []push.Sample{{
			At: at, Stage: analyze.Idle, Volts: 12 + float64(seq)/1000, Amps: analyze.Unknown(), Celsius: analyze.Unknown(), ChargeAh: analyze.Unknown(),
		}}}
		h.journal[c] = append(h.journal[c], r)
		h.sink.Take(r)
	}
}

func series(channel string) string { return "charge_sample,channel=" + channel + ",stage=idle" }

// quietly fails where more than one line a minute was logged.
func (h *house) quietly(began time.Time) {
	h.t.Helper()
	lines := h.log.Lines()
	assert.LessOrEqual(h.t, len(lines), 1+int(time.Since(began)/sayEvery), "%s", strings.Join(lines, "\n"))
}
