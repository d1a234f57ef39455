package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/dashboards/curve"
	"amphora/dashboards/live"
	"amphora/dashboards/report"
	"amphora/dashboards/testhelp"
)

func TestBatteriesAreAddedShownAndChanged(t *testing.T) {
	b := newBench(t)
	assert.Equal(t, []any{}, b.get(t, "/api/v1/batteries")["batteries"])

	w := b.ask("POST", "/api/v1/batteries", `{"name":"mower 2","chemistry":"lead-agm","capacity_ah":17,"cells":6}`)
	require.Equal(t, http.StatusCreated, w.Code, w.Body)
	assert.Equal(t, "/api/v1/batteries/mower%202", w.Header().Get("Location"))
	added := document(t, w.Body.Bytes())
	assert.Equal(t, added, b.get(t, w.Header().Get("Location")))
	assert.Equal(t, 17.0, added["capacity_ah"])
	assert.Nil(t, added["note"])

	w = b.ask("PATCH", "/api/v1/batteries/mower%202", `{"note":"in the shed","cells":null}`, "Content-Type", mergeKind)
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	changed := b.get(t, "/api/v1/batteries/mower%202")
	assert.Equal(t, "in the shed", changed["note"])
	assert.Nil(t, changed["cells"])
	assert.Equal(t, "lead-agm", changed["chemistry"], "what was not given stays")
	assert.Len(t, b.get(t, "/api/v1/batteries")["batteries"], 1)
}

func TestReadingsAreNoted(t *testing.T) {
	b := newBench(t)
	b.ask("POST", "/api/v1/batteries", `{"name":"mower"}`)
	assert.Equal(t, []any{}, b.get(t, "/api/v1/batteries/mower/readings")["readings"])

	w := b.ask("POST", "/api/v1/batteries/mower/readings", `{"ohm":0.029,"remark":"after 8 h of rest"}`)
	require.Equal(t, http.StatusCreated, w.Code, w.Body)
	now := document(t, w.Body.Bytes())
	assert.Equal(t, "2026-03-14T21:40:00Z", now["at"], "without a time it was just now")
	assert.NotEmpty(t, now["id"])
	w = b.ask("POST", "/api/v1/batteries/mower/readings", `{"volts":12.91,"at":"2026-01-02T10:00:00Z"}`)
	require.Equal(t, http.StatusCreated, w.Code, w.Body)
	all := b.get(t, "/api/v1/batteries/mower/readings")["readings"].([]any)
	require.Len(t, all, 2)
	assert.NotContains(t, now, "mistyped")
	w = b.ask("POST", "/api/v1/batteries/mower/readings", `{"volts":-12,"celsius":95}`)
	require.Equal(t, http.StatusCreated, w.Code, w.Body)
	assert.Len(t, document(t, w.Body.Bytes())["mistyped"], 2, "it is noted, and pointed out")
	w = b.ask("PATCH", "/api/v1/batteries/mower", `{"retired":"2999-01-01T00:00:00Z"}`, "Content-Type", mergeKind)
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	assert.Equal(t, []any{"2999-01-01 00:00 is still to come by this clock"}, document(t, w.Body.Bytes())["mistyped"])
	assert.Len(t, b.get(t, "/api/v1/batteries/mower")["mistyped"], 1)

	assert.Equal(t, http.StatusNotFound, b.ask("POST", "/api/v1/batteries/attic/readings", `{"volts":12.9}`).Code)
	assert.Equal(t, http.StatusNotFound, b.ask("GET", "/api/v1/batteries/attic", "").Code)
	assert.Equal(t, http.StatusNotFound, b.ask("GET", "/api/v1/batteries/attic/readings", "").Code)
}

// The form of an error is that of RFC 9457.
func TestErrorsAreProblems(t *testing.T) {
	b := newBench(t)
	require.Equal(t, http.StatusCreated, b.ask("POST", "/api/v1/batteries", `{"name":"mower"}`).Code)
	for _, c := range []struct {
		method, path, body string
		status             int
		detail             string
	}{
		{"POST", "/api/v1/batteries", `{"name":"mower"}`, 409, `battery "mower" is in the logbook already`},
		{"POST", "/api/v1/batteries", `{"name":"x","cells":0}`, 422, "cells is 0, want 1 to 1000"},
		{"PATCH", "/api/v1/batteries/attic", `{"note":"x"}`, 404, `battery "attic" is not in the logbook`},
		{"GET", "/api/v1/sessions?limit=0", "", 400, `limit is "0", want 1 to 1000`},
		{"GET", "/api/v1/sessions?limit=9000000000000000000", "", 400, `limit is "9000000000000000000", want 1 to 1000`},
		{"GET", "/api/v1/sessions?before=yesterday", "", 400, `before is "yesterday", want the place that an earlier page ended with or, where the newest come first, the ID of a charge or a time like 2026-03-14T21:40:00Z`},
		{"GET", "/api/v1/sessions/x/samples?points=9000000000000000000", "", 400, `points is "9000000000000000000", want 12 to 20000`},
		{"GET", "/api/v1/channels/attic", "", 404, `no channel is called "attic"`},
	} {
		w := b.ask(c.method, c.path, c.body)
		assert.Equal(t, "application/problem+json", w.Header().Get("Content-Type"), c.path)
		p := document(t, w.Body.Bytes())
		assert.Equal(t, "about:blank", p["type"])
		assert.Equal(t, http.StatusText(c.status), p["title"])
		assert.Equal(t, float64(c.status), p["status"])
		assert.Equal(t, c.status, w.Code)
		assert.Equal(t, c.detail, p["detail"])
	}
}

func TestEveryWrongFieldIsNamed(t *testing.T) {
	b := newBench(t)
	w := b.ask("POST", "/api/v1/batteries", `{"name":"-","cells":0,"capacity_ah":-1}`)
	var named []string
	for _, f := range document(t, w.Body.Bytes())["invalid"].([]any) {
		named = append(named, f.(map[string]any)["field"].(string))
	}
	assert.Equal(t, []string{"name", "cells", "capacity_ah"}, named)
}

func TestUnexpectedErrorsStayInTheLog(t *testing.T) {
	var log testhelp.Log
	b := newBench(t, func(o *Options) {
		o.Log = log.Logger(slog.LevelDebug)
		o.Samples = func(context.Context, string) ([]curve.Point, error) {
			return nil, errors.New("open /secret/place: denied")
		}
	})
	w := b.ask("GET", "/api/v1/sessions/x/samples", "")
	assert.Equal(t, http.StatusInternalServerError, w.Code)
	assert.NotContains(t, w.Body.String(), "secret")
	assert.Contains(t, log.String(), "/secret/place")
}

func TestSessionHasTheFormOfTheCommand(t *testing.T) {
	b := newBench(t)
	s := charge("bench-1", "mower", evening, analyze.Complete)
	require.NoError(t, b.book.PutSession(t.Context(), logbook.Session{Summary: s, Settled: true}))
	var command bytes.Buffer
	require.NoError(t, json.NewEncoder(&command).Encode(s))
	w := b.ask("GET", "/api/v1/sessions/bench-1", "")
	require.Equal(t, http.StatusOK, w.Code)
	assert.JSONEq(t, command.String(), w.Body.String())
	assert.Equal(t, http.StatusNotFound, b.ask("GET", "/api/v1/sessions/bench-2", "").Code)
}

func TestChannelsShowTheLiveView(t *testing.T) {
	b := newBench(t)
	assert.Equal(t, []any{}, b.get(t, "/api/v1/channels")["channels"])
	b.hub.Publish(live.Channel{Name: "bench top", Stage: "rest", Reading: &live.Reading{At: evening, Volts: 12.9, Amps: 0, Celsius: unknown}})
	one := b.get(t, "/api/v1/channels/bench%20top")
	assert.Equal(t, "rest", one["stage"])
	reading := one["reading"].(map[string]any)
	assert.Equal(t, 12.9, reading["volts"])
	assert.Nil(t, reading["celsius"])
	assert.Len(t, b.get(t, "/api/v1/channels")["channels"], 1)
}

func TestHealthAndReadinessSayWhy(t *testing.T) {
	var ill error
	b := newBench(t, func(o *Options) { o.Healthy = func() error { return ill } })
	for _, path := range []string{"/-/healthy", "/-/ready"} {
		assert.Equal(t, http.StatusOK, b.ask("GET", path, "").Code)
	}
	ill = errors.New("bench: no space left on device")
	w := b.ask("GET", "/-/healthy", "")
	assert.Equal(t, http.StatusServiceUnavailable, w.Code)
	assert.Contains(t, w.Body.String(), "no space left")
	assert.Equal(t, http.StatusOK, b.ask("GET", "/-/ready", "").Code)
}

func TestNotesAreAdded(t *testing.T) {
	b := newBench(t)
	s := charge("bench-1", "mower", evening, analyze.Complete)
	require.NoError(t, b.book.PutSession(t.Context(), logbook.Session{Summary: s, Settled: true}))
	assert.Equal(t, []any{}, b.get(t, "/api/v1/sessions/bench-1/notes")["notes"])
	w := b.ask("POST", "/api/v1/sessions/bench-1/notes", `{"text":"the fan was <off>"}`)
	require.Equal(t, http.StatusCreated, w.Code, w.Body)
	assert.Equal(t, "2026-03-14T21:40:00Z", document(t, w.Body.Bytes())["at"])
	notes := b.get(t, "/api/v1/sessions/bench-1/notes")["notes"].([]any)
	require.Len(t, notes, 1)
	assert.Equal(t, "the fan was <off>", notes[0].(map[string]any)["text"])
	assert.Equal(t, map[string]any{"bench-1": 1.0}, b.get(t, "/api/v1/sessions")["notes"])

	for body, want := range map[string]int{`{"text":"  "}`: 422, `{}`: 422, `{"text":7}`: 422, `{"text":"x","at":"now"}`: 422, `[]`: 400} {
		assert.Equal(t, want, b.ask("POST", "/api/v1/sessions/bench-1/notes", body).Code, body)
	}
	assert.Equal(t, http.StatusNotFound, b.ask("POST", "/api/v1/sessions/bench-2/notes", `{"text":"x"}`).Code)
	assert.Equal(t, http.StatusNotFound, b.ask("GET", "/api/v1/sessions/bench-2/notes", "").Code)
}

func TestMeaningsAreTold(t *testing.T) {
	got := newBench(t).get(t, "/api/v1/meanings")
	assert.Contains(t, got[analyze.CodeOverTemperature], "let it cool")
	assert.Contains(t, got[analyze.CodeOverVoltage], "The voltage is above", "while it holds")
	got = newBench(t).get(t, "/api/v1/meanings?past=true")
	assert.Contains(t, got[analyze.CodeOverTemperature], "let it cool")
	assert.Contains(t, got[analyze.CodeOverVoltage], "The voltage was above")
}

// A report brings its own style, and may use nothing else.
func TestReportIsShownUnderItsOwnPolicy(t *testing.T) {
	b := newBench(t, func(o *Options) {
		o.Report = func(_ context.Context, id string, w io.Writer) error {
			if id != "bench-1" {
				return fmt.Errorf("session %q %w", id, logbook.ErrNotFound)
			}
			return (&report.Charge{Title: id, Sessions: []analyze.Session{charge(id, "mower", evening, analyze.Complete)}}).HTML(w)
		}
	})
	w := b.ask("GET", "/api/v1/sessions/bench-1/report", "")
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	assert.Contains(t, w.Header().Get("Content-Type"), "text/html")
	_, rest, _ := strings.Cut(w.Body.String(), "<style>")
	style, _, _ := strings.Cut(rest, "</style>")
	sum := sha256.Sum256([]byte(style))
	assert.Contains(t, w.Header().Get("Content-Security-Policy"), "style-src 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'")
	assert.NotContains(t, w.Header().Get("Content-Security-Policy"), "unsafe")
	assert.NotContains(t, w.Body.String(), " style=")
	assert.Equal(t, http.StatusNotFound, b.ask("GET", "/api/v1/sessions/bench-2/report", "").Code)
}
