package web

import (
	"context"
	"encoding/json"
	"io"
	"math"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture"
	"amphora/dashboards/curve"
	"amphora/dashboards/live"
)

var (
	evening = time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
	unknown = analyze.Number(math.NaN())
)

// bench is a server with what it shows.
type bench struct {
	*Server
	hub  *live.Hub
	book *logbook.Book
}

func newBench(t testing.TB, change ...func(*Options)) *bench {
	t.Helper()
	book, err := logbook.Open(t.Context(), filepath.Join(t.TempDir(), "logbook.db"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, book.Close()) })
	hub := live.NewHub(capture.SystemClock{})
	o := Options{
		Live: hub, Book: book, Hostname: "garage",
		Metrics: http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { _, _ = io.WriteString(w, "amphora_build_info 1\n") }),
		Samples: func(context.Context, string) ([]curve.Point, error) { return nil, logbook.ErrNotFound },
		Report:  func(context.Context, string, io.Writer) error { return logbook.ErrNotFound },
		Assign: func(context.Context, string, string) (analyze.Session, error) {
			return analyze.Session{}, logbook.ErrNotFound
		},
		Now: func() time.Time { return evening },
	}
	for _, c := range change {
		c(&o)
	}
	s, err := New(o)
	require.NoError(t, err)
	return &bench{s, hub, book}
}

// ask sends one request, without a network.
func (b *bench) ask(method, path, body string, headers ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "http://localhost"+path, strings.NewReader(body))
	r.RemoteAddr = "192.0.2.7:40000"
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i < len(headers); i += 2 {
		if headers[i] == "Host" {
			r.Host = headers[i+1]
			continue
		}
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	b.ServeHTTP(w, r)
	return w
}

// get asks for a document and reads it.
func (b *bench) get(t testing.TB, path string) map[string]any {
	t.Helper()
	w := b.ask("GET", path, "")
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	return document(t, w.Body.Bytes())
}

func document(t testing.TB, text []byte) map[string]any {
	t.Helper()
	var d map[string]any
	require.NoError(t, json.Unmarshal(text, &d), "%s", text)
	return d
}

// serve runs the server on a port of its own. It ends with the test.
func (b *bench) serve(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- b.Serve(ctx, l) }()
	t.Cleanup(func() {
		cancel()
		require.NoError(t, <-ended)
	})
	return l.Addr().String()
}

// write puts a file into a folder of the test.
func write(t *testing.T, path, text string) string {
	t.Helper()
	if !filepath.IsAbs(path) {
		path = filepath.Join(t.TempDir(), path)
	}
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

// charge is a session as the analysis makes it.
func charge(id, battery string, started time.Time, outcome analyze.Outcome) analyze.Session {
	return analyze.Session{
		ID: id, Channel: "bench", Battery: analyze.Name(battery), Started: &started,
		StartS: 60, EndS: 7000, FinishS: unknown, Outcome: outcome,
		ChargeInAh: 6.5, ChargeInAhU95: 0.08, ChargeOutAh: 0, EnergyInWh: 88,
		SetA: 3.4, HeldV: unknown, PeakV: 14, TailA: unknown, MaxCelsius: unknown,
		Stages: []analyze.Stage{}, Findings: []analyze.Finding{}, Gaps: []analyze.Gap{}, Resistance: []analyze.Resistance{},
	}
}
