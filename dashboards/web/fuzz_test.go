package web

import (
	"bufio"
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/madeup/mangle"
)

// FuzzRequest asks whatever one may write down as a request, its body being all that
// follows its head. It is answered, never with a fault of our own nor at length, and as
// guarded as any answer.
func FuzzRequest(f *testing.F) {
	for _, text := range soundRequests {
		f.Add(text)
	}
	check := anyRequest(f)
	f.Fuzz(func(t *testing.T, text string) { check(t, text) })
}

// Damaged requests in numbers that a fuzzer does not reach.
func TestMangledRequests(t *testing.T) {
	check := anyRequest(t)
	var sound [][]byte
	for _, text := range soundRequests {
		sound = append(sound, []byte(text))
	}
	m := mangle.New(1, sound...)
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 1000) {
		check(t, string(m.Next()))
	}
}

var soundRequests = []string{
	"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n",
	"GET /api/v1/channels/bench/lines?since=3 HTTP/1.1\r\nHost: garage.local\r\n\r\n",
	"GET /api/v1/sessions?limit=5&sort=-charge&text=mow&before=1773524400000.a&battery=mower&outcome=complete HTTP/1.1\r\nHost: localhost\r\n\r\n",
	"GET /api/v1/sessions/a/samples?from=0&to=9e18&points=2000 HTTP/1.1\r\nHost: 127.0.0.1:80\r\n\r\n",
	"GET /api/v1/plan?capacity=17Ah&chemistry=lead-agm&cca=480&reserve=90&charger=5A&depth=60%25 HTTP/1.1\r\nHost: localhost\r\n\r\n",
	"GET /api/v1/batteries/%2e%2e%2fmower/condition HTTP/1.1\r\nHost: [::1]:8080\r\n\r\n",
	"GET /../../etc/passwd HTTP/1.1\r\nHost: evil.example\r\n\r\n",
	"GET /metrics HTTP/1.1\r\nHost: localhost\r\nOrigin: http://evil.example\r\nSec-Fetch-Site: cross-site\r\n\r\n",
	post("POST", "/api/v1/batteries", `{"name":"mower","chemistry":"lead-agm","cells":6,"capacity_ah":17}`),
	post("PATCH", "/api/v1/batteries/mower", `{"capacity_ah":16.5,"retired":true,"note":"=1+1"}`),
	post("POST", "/api/v1/batteries/mower/readings", `{"kind":"resistance","ohm":0.029,"at":"2026-03-14T21:40:00Z"}`),
	post("POST", "/api/v1/sessions/a/notes", `{"text":"<img src=x onerror=alert(1)>"}`),
	post("PATCH", "/api/v1/sessions/a", `{"battery":"mower"}`),
	post("POST", "/api/v1/channels/bench/limits", `{"hours":16,"charge":"20Ah","celsius":50}`),
	post("POST", "/api/v1/batteries", strings.Repeat("[", 10_000)),
	"DELETE /api/v1/batteries/mower HTTP/1.1\r\nHost: localhost\r\n\r\n",
}

func anyRequest(tb testing.TB) func(testing.TB, string) {
	b, written := furnished(tb), 0
	return func(t testing.TB, text string) {
		head, body, _ := strings.Cut(text, "\r\n\r\n")
		r, err := http.ReadRequest(bufio.NewReader(strings.NewReader(passable(head))))
		if err != nil {
			return // the library's own refusal
		}
		r.Body, r.ContentLength = io.NopCloser(strings.NewReader(body)), int64(len(body))
		r.RemoteAddr = "192.0.2.7:40000"
		if r.URL.Path == "/api/v1/live" { // it would last as long as the asker does
			ctx, cancel := context.WithCancel(t.Context())
			cancel()
			r = r.WithContext(ctx)
		}
		w := httptest.NewRecorder()
		b.ServeHTTP(w, r)
		require.NotEqual(t, http.StatusInternalServerError, w.Code, "%s", w.Body)
		require.Less(t, w.Body.Len(), 1<<20)
		require.Contains(t, w.Header().Get("Content-Security-Policy"), "default-src 'none'")
		if r.Method != http.MethodGet && w.Code < 300 {
			if written++; written%500 == 0 {
				b = furnished(tb) // what was written must not fill the machine
			}
		}
	}
}

var (
	method  = regexp.MustCompile(`^[A-Z]+$`)
	field   = regexp.MustCompile(`^[A-Za-z-]+:[\t -~\x80-\xff]*$`)
	unsound = regexp.MustCompile(`[^!-~]|%([^0-9a-fA-F]|.[^0-9a-fA-F]|.?$)`)
)

// passable is a request's head as near to what it was as the library lets it pass, which
// refuses most of what is damaged before our own code sees it.
func passable(head string) string {
	first, fields, _ := strings.Cut(head, "\r\n")
	verb, target, _ := strings.Cut(first, " ")
	if !method.MatchString(verb) {
		verb = http.MethodGet
	}
	target = strings.TrimPrefix(strings.TrimSuffix(target, " HTTP/1.1"), "/")
	target = unsound.ReplaceAllStringFunc(target, url.QueryEscape)
	sound, host := verb+" /"+target+" HTTP/1.1\r\n", "Host: localhost\r\n"
	for line := range strings.SplitSeq(fields, "\r\n") {
		switch name, _, _ := strings.Cut(line, ":"); {
		case !field.MatchString(line) || name == "Transfer-Encoding" || name == "Content-Length":
		case name == "Host":
			host = line + "\r\n"
		default:
			sound += line + "\r\n"
		}
	}
	return sound + host + "\r\n"
}

func post(method, path, body string) string {
	return method + " " + path + " HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n\r\n" + body
}

// furnished is a server that has one of all.
func furnished(t testing.TB) *bench {
	t.Helper()
	b := newBench(t)
	require.NoError(t, b.book.AddBattery(t.Context(), logbook.Battery{Name: "mower"}))
	require.NoError(t, b.book.PutSession(t.Context(), logbook.Session{Summary: charge("a", "mower", evening, analyze.Complete), Settled: true}))
	return b
}
