//go:build linux

package e2e

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A night as the page sees it: the stream of what happens, the charge while it goes
// on, its curve, and the metrics.
func TestWhatThePageIsTold(t *testing.T) {
	t.Parallel()
	at, port := newPlace(t), newPort(t)
	at.channel(t, "bench", port.source(), "battery: mower")
	p := serve(t, at.config)
	stream := p.listen()
	night := mower(20)
	half := len(night.lines) / 2
	port.sayAll(night.lines[:half])
	p.untilHeard("bench", half)
	testhelp.Until(t, "the running charge", func() bool { s := p.sessions(); return len(s) == 1 && s[0].EndS > 25_000 })
	running := p.sessions()[0]
	assert.Equal(t, analyze.Running, running.Outcome)
	assert.EqualValues(t, "mower", running.Battery)
	var curve struct {
		AtS   []float64 `json:"at_s"`
		Volts []float64
		Amps  []float64
	}
	p.fetch("/api/v1/sessions/"+running.ID+"/samples?points=500", &curve)
	assert.InDelta(t, 500, len(curve.AtS), 300)
	assert.Len(t, curve.Volts, len(curve.AtS))
	assert.Greater(t, curve.AtS[len(curve.AtS)-1], 25_000.0, "up to the present")

	port.sayAll(night.lines[half:])
	p.untilRead("bench", night.end)
	testhelp.Until(t, "the rest in the summary", func() bool { s := p.sessions()[0]; return s.Rest != nil && s.Rest.DurationS > 7000 })
	var one analyze.Session
	p.fetch("/api/v1/sessions/"+running.ID, &one)
	assert.Equal(t, analyze.Complete, one.Outcome)
	want := analysed(t, night.file(t))[0]
	want.Battery = "mower"
	requireSame(t, want, one)

	_, metrics := p.get("/metrics")
	assert.Contains(t, metrics, `amphora_source_up{channel="bench"} 1`)
	assert.Contains(t, metrics, "amphora_voltage_volts{")
	testhelp.Until(t, "the end in the stream", func() bool { return stream.seen("bench", "rest") })
	p.stop()
	assert.NoError(t, stream.wrong())
}

// listener is a browser that stays on the page.
type listener struct {
	lines testhelp.Log
	err   chan error
}

// listen opens the stream of what happens.
func (p *program) listen() *listener {
	p.t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	p.t.Cleanup(cancel)
	ask, err := http.NewRequestWithContext(ctx, http.MethodGet, p.page+"api/v1/live", nil)
	require.NoError(p.t, err)
	answer, err := new(http.Client).Do(ask)
	require.NoError(p.t, err)
	require.Equal(p.t, http.StatusOK, answer.StatusCode)
	l := &listener{err: make(chan error, 1)}
	go func() {
		defer answer.Body.Close()
		_, err := io.Copy(&l.lines, answer.Body)
		l.err <- err
	}()
	return l
}

// wrong is what ended the stream, nil for its proper end.
func (l *listener) wrong() error { return <-l.err }

// seen tells whether the stream has shown a channel in a stage.
func (l *listener) seen(channel, stage string) bool {
	for line := range strings.Lines(l.lines.String()) {
		text, ok := strings.CutPrefix(strings.TrimSpace(line), "data: ")
		var c live.Channel
		if ok && json.Unmarshal([]byte(text), &c) == nil && c.Name == channel && string(c.Stage) == stage {
			return true
		}
	}
	return false
}
