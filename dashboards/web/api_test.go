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
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/dashboards/curve"
	"amphora/dashboards/live"
	"amphora/dashboards/report"
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

	for path, body := range map[string]string{
		"/api/v1/batteries/attic/readings": `{"volts":12.9}`,
		"/api/v1/batteries/attic":          "",
	} {
		method := "POST"
		if body == "" {
			method = "GET"
		}
		assert.Equal(t, http.StatusNotFound, b.ask(method, path, body).Code, path)
	}
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
		{"GET", "/api/v1/sessions?before=yesterday", "", 400, `before is "yesterday", want the place that an earlier page ended with`},
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
	var log notes
	b := newBench(t, func(o *Options) {
		o.Log = log.logger()
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

func TestRunningChargesStandInTheList(t *testing.T) {
	b := newBench(t)
	kept := charge("bench-2", "mower", evening.Add(time.Hour), analyze.Running)
	old := charge("bench-1", "mower", evening, analyze.Complete)
	for _, s := range []logbook.Session{{Summary: old, Settled: true}, {Summary: kept}} {
		require.NoError(t, b.book.PutSession(t.Context(), s))
	}
	now := kept
	now.ChargeInAh = 7.25
	b.hub.Publish(live.Channel{Name: "bench", Session: &now})
	other := charge("shed-1", "boat", evening.Add(30*time.Minute), analyze.Running)
	other.Channel = "shed"
	b.hub.Publish(live.Channel{Name: "shed", Session: &other})

	list := func(query string) (ids []string, first map[string]any) {
		for _, s := range b.get(t, "/api/v1/sessions"+query)["sessions"].([]any) {
			if first == nil {
				first = s.(map[string]any)
			}
			ids = append(ids, s.(map[string]any)["id"].(string))
		}
		return ids, first
	}
	ids, first := list("")
	assert.Equal(t, []string{"bench-2", "shed-1", "bench-1"}, ids)
	assert.Equal(t, 7.25, first["charge_in_ah"], "as it is now, not as the logbook has it")
	ids, _ = list("?battery=boat")
	assert.Equal(t, []string{"shed-1"}, ids)
	ids, _ = list("?channel=bench")
	assert.Equal(t, []string{"bench-2", "bench-1"}, ids)
	assert.Equal(t, 7.25, b.get(t, "/api/v1/sessions/bench-2")["charge_in_ah"])
	assert.Equal(t, "shed-1", b.get(t, "/api/v1/sessions/shed-1")["id"])

	settled := kept
	settled.ChargeInAh = 8
	require.NoError(t, b.book.PutSession(t.Context(), logbook.Session{Summary: settled, Settled: true}))
	_, first = list("")
	assert.Equal(t, 8.0, first["charge_in_ah"], "what is settled is final")
	assert.Equal(t, 8.0, b.get(t, "/api/v1/sessions/bench-2")["charge_in_ah"])
}

// However the pages fall, every charge stands in them once, the newest first.
func TestPagesHoldEveryChargeOnce(t *testing.T) {
	b := newBench(t)
	var want []string
	for n := range 7 {
		s := charge(fmt.Sprintf("c-%d", n), "mower", evening.Add(time.Duration(n)*time.Hour), analyze.Complete)
		want = append(want, s.ID)
		if n%3 == 1 { // not in the book, or in both
			b.hub.Publish(live.Channel{Name: s.ID, Session: &s})
		}
		if n != 4 {
			require.NoError(t, b.book.PutSession(t.Context(), logbook.Session{Summary: s}))
		}
	}
	undated := charge("undated", "mower", evening, analyze.Running)
	undated.Started = nil
	b.hub.Publish(live.Channel{Name: "undated", Session: &undated})
	want = append([]string{"undated"}, want...)
	slices.Reverse(want)
	for limit := 1; limit <= 9; limit++ {
		var got []string
		before := ""
		for {
			page := b.get(t, fmt.Sprintf("/api/v1/sessions?limit=%d&before=%s", limit, before))
			for _, s := range page["sessions"].([]any) {
				got = append(got, s.(map[string]any)["id"].(string))
			}
			next, more := page["next"].(string)
			if !more {
				break
			}
			before = next
		}
		assert.Equal(t, want, got, "limit %d", limit)
	}
}

func TestSamplesKeepEveryPeak(t *testing.T) {
	b := newBench(t, func(o *Options) {
		o.Samples = func(_ context.Context, id string) ([]curve.Point, error) {
			if id != "bench-1" {
				return nil, fmt.Errorf("session %q %w", id, logbook.ErrNotFound)
			}
			points := make([]curve.Point, 50_000)
			for i := range points {
				points[i] = curve.Point{At: float64(i), Volts: 13.6, Amps: 3, Celsius: float64(unknown)}
			}
			points[31_234].Volts = 17.2
			return points, nil
		}
	})
	for query, most := range map[string]int{"": 2000, "?points=300": 300, "?points=12": 12} {
		got := b.get(t, "/api/v1/sessions/bench-1/samples"+query)
		volts := got["volts"].([]any)
		assert.LessOrEqual(t, len(volts), most)
		assert.Contains(t, volts, 17.2)
		for _, column := range []string{"at_s", "amps", "celsius"} {
			assert.Len(t, got[column], len(volts))
		}
		assert.Nil(t, got["celsius"].([]any)[0], "what was not measured is null")
	}
	assert.Equal(t, http.StatusNotFound, b.ask("GET", "/api/v1/sessions/bench-2/samples", "").Code)
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

// A stretch is shown at full detail, with a row beyond each of its ends.
func TestSamplesOfAStretch(t *testing.T) {
	b := newBench(t, func(o *Options) {
		o.Samples = func(context.Context, string) ([]curve.Point, error) {
			points := make([]curve.Point, 1000)
			for i := range points {
				points[i] = curve.Point{At: float64(10 * i), Volts: 13, Amps: 3, Celsius: float64(unknown)}
			}
			return points, nil
		}
	})
	at := func(query string) []any { return b.get(t, "/api/v1/sessions/x/samples?"+query)["at_s"].([]any) }
	assert.Equal(t, []any{30.0, 40.0, 50.0, 60.0, 70.0}, at("from=35&to=65"))
	assert.Equal(t, []any{0.0, 10.0, 20.0}, at("to=15"))
	assert.Equal(t, []any{9980.0, 9990.0}, at("from=9985&to=1e300"))
	assert.Equal(t, []any{9990.0}, at("from=99999"))
	assert.Empty(t, at("from=500&to=100"))
	for _, query := range []string{"from=x", "to=NaN", "from=1e999"} {
		assert.Equal(t, http.StatusBadRequest, b.ask("GET", "/api/v1/sessions/x/samples?"+query, "").Code, query)
	}
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

func TestSessionsAreSearchedAndSorted(t *testing.T) {
	b := newBench(t)
	for n, ah := range []analyze.Number{5, 9, 1} {
		s := charge(fmt.Sprintf("c-%d", n), []string{"mower", "boat", "mower"}[n], evening.AddDate(0, 0, n), analyze.Complete)
		s.ChargeInAh = ah
		require.NoError(t, b.book.PutSession(t.Context(), logbook.Session{Summary: s}))
	}
	running := charge("c-9", "boat", evening.AddDate(0, 0, 9), analyze.Running)
	b.hub.Publish(live.Channel{Name: "bench", Session: &running})
	for query, want := range map[string][]string{
		"":                           {"c-9", "c-2", "c-1", "c-0"},
		"?sort=started":              {"c-0", "c-1", "c-2"},
		"?sort=-charge":              {"c-1", "c-0", "c-2"},
		"?sort=charge&battery=mower": {"c-2", "c-0"},
		"?text=BOAT":                 {"c-1"},
		"?outcome=running":           {"c-9"},
		"?since=2026-03-16T00:00:00Z&until=2026-03-17T00:00:00Z": {"c-2"},
	} {
		got := b.get(t, "/api/v1/sessions"+query)
		var ids []string
		for _, s := range got["sessions"].([]any) {
			ids = append(ids, s.(map[string]any)["id"].(string))
		}
		assert.Equal(t, want, ids, query)
	}
	page := b.get(t, "/api/v1/sessions?sort=-charge&limit=2")
	assert.Equal(t, 3.0, page["total"])
	assert.Equal(t, "after-2", page["next"])
	for _, query := range []string{"sort=colour", "since=yesterday", "until=2026", "before=after-0"} {
		w := b.ask("GET", "/api/v1/sessions?"+query, "")
		assert.Contains(t, []int{400, 422}, w.Code, query)
	}
}

func TestMeaningsAreTold(t *testing.T) {
	got := newBench(t).get(t, "/api/v1/meanings")
	assert.Contains(t, got[analyze.CodeOverTemperature], "let it cool")
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
