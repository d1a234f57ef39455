//go:build linux

package e2e

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

var client = &http.Client{Timeout: 20 * time.Second}

// get asks the program and returns status and body.
func (p *program) get(path string) (int, string) {
	p.t.Helper()
	answer, err := client.Get(p.page + strings.TrimPrefix(path, "/"))
	require.NoError(p.t, err, "%s", path)
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	require.NoError(p.t, err)
	return answer.StatusCode, string(body)
}

// fetch is get for a document that must be there.
func (p *program) fetch(path string, into any) {
	p.t.Helper()
	status, body := p.get(path)
	require.Equal(p.t, http.StatusOK, status, "%s: %s", path, body)
	require.NoError(p.t, json.Unmarshal([]byte(body), into), "%s: %s", path, body)
}

// view is the live view of a channel.
func (p *program) view(channel string) live.Channel {
	p.t.Helper()
	var c live.Channel
	p.fetch("/api/v1/channels/"+channel, &c)
	return c
}

// sessions are all that the logbook and the present tell of.
func (p *program) sessions() []analyze.Session {
	p.t.Helper()
	var page struct{ Sessions []analyze.Session }
	p.fetch("/api/v1/sessions?limit=100", &page)
	return page.Sessions
}

// untilUp waits until the source of a channel is there.
func (p *program) untilUp(channel string) {
	p.t.Helper()
	testhelp.Until(p.t, "the source of "+channel, func() bool { return p.view(channel).Source.Up })
}

// untilHeard waits until so many lines of a channel have come.
func (p *program) untilHeard(channel string, lines int) {
	p.t.Helper()
	testhelp.Until(p.t, fmt.Sprintf("%d lines of %s", lines, channel), func() bool { return p.view(channel).Source.Lines >= lines })
}

// untilRead waits until a channel has understood the row at an elapsed time.
func (p *program) untilRead(channel string, end float64) {
	p.t.Helper()
	testhelp.Until(p.t, "the last row", func() bool {
		c := p.view(channel)
		return c.LastReading != nil && float64(c.LastReading.AtS) >= end-0.01
	})
}

// analysed is what amphora analyze says of a log.
func analysed(t testing.TB, file string) []analyze.Session {
	t.Helper()
	status, out, said := amphora(t, "analyze", "--json", file)
	require.Zero(t, status, said)
	var d analyze.Document
	require.NoError(t, json.Unmarshal([]byte(out), &d))
	return d.Sessions
}

// requireSame compares sessions, to the last bit, in everything that does not
// depend on when and where they were recorded.
func requireSame(t testing.TB, want, got analyze.Session) {
	t.Helper()
	got.ID, got.Started, got.Channel = want.ID, want.Started, want.Channel
	require.Equal(t, toJSON(t, want), toJSON(t, got))
}

func toJSON(t testing.TB, v any) string {
	t.Helper()
	text, err := json.MarshalIndent(v, "", " ")
	require.NoError(t, err)
	return string(text)
}
