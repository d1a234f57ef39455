//go:build linux

package e2e

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What was recorded can be told again from the journal alone, and the logbook made
// anew from it. What people typed is not in the journal and stays.
func TestReplayAndRebuild(t *testing.T) {
	t.Parallel()
	at, port := newPlace(t), newPort(t)
	at.channel(t, "bench", port.source())
	night := play(madeup.Named("outboard-two-charges"))
	p := serve(t, at.config)
	port.sayAll(night.lines)
	p.untilRead("bench", night.end)
	p.post("/api/v1/batteries", `{"name": "outboard"}`)
	p.post("/api/v1/batteries/outboard/readings", `{"ohm": 0.004, "remark": "terminals cleaned"}`)
	testhelp.Until(t, "the rest in the summary", func() bool { s := p.sessions()[0]; return s.Rest != nil && s.Rest.DurationS > 5300 })
	lived := p.sessions()
	require.Len(t, lived, 2)
	p.stop()
	p = serve(t, at.config)
	again := p.sessions()
	require.Len(t, again, 2)
	for k := range again {
		assert.Equal(t, lived[k].ID, again[k].ID, "a restart changes no name")
		assert.InEpsilon(t, float64(lived[k].ChargeInAh), float64(again[k].ChargeInAh), 1e-4)
	}
	p.stop()

	assert.Equal(t, toJSON(t, lived), toJSON(t, retold(t, at.data, "--config", at.config)))
	retold(t, at.data, "--config", at.config, "--rebuild")
	p = serve(t, at.config)
	assert.Equal(t, names(lived), names(p.sessions()))
	_, readings := p.get("/api/v1/batteries/outboard/readings")
	assert.Contains(t, readings, "terminals cleaned")
	p.stop()

	books, err := filepath.Glob(filepath.Join(at.data, "logbook.db*"))
	require.NoError(t, err)
	for _, b := range books {
		require.NoError(t, os.Remove(b))
	}
	retold(t, at.data, "--config", at.config, "--rebuild")
	p = serve(t, at.config)
	assert.Equal(t, names(lived), names(p.sessions()))
	p.stop()
}

func names(sessions []analyze.Session) (ids []string) {
	for _, s := range sessions {
		ids = append(ids, s.ID)
	}
	return ids
}

// retold are the sessions of a journal, the newest first as the page has them.
func retold(t testing.TB, data string, more ...string) []analyze.Session {
	t.Helper()
	status, out, said := amphora(t, append([]string{"journal", "replay", data, "--json"}, more...)...)
	require.Zero(t, status, said)
	var d analyze.Document
	require.NoError(t, json.Unmarshal([]byte(out), &d))
	slices.Reverse(d.Sessions)
	return d.Sessions
}

// post sends what a person typed.
func (p *program) post(path, document string) {
	p.t.Helper()
	ask, err := http.NewRequest(http.MethodPost, p.page+strings.TrimPrefix(path, "/"), strings.NewReader(document))
	require.NoError(p.t, err)
	ask.Header.Set("Content-Type", "application/json")
	answer, err := client.Do(ask)
	require.NoError(p.t, err)
	answer.Body.Close()
	require.Equal(p.t, http.StatusCreated, answer.StatusCode)
}
