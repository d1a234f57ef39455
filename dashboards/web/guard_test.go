package web

import (
	_ "expvar" // this and the profiler hang pages into the default mux, which must not be ours
	"net/http"
	"net/http/httptest"
	_ "net/http/pprof"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/dashboards/live"
)

// every is each route of the server, asked as it wants to be asked.
var every = []string{
	"/", "/app.js", "/style/look.css", "/icon.svg", "/metrics", "/-/healthy", "/-/ready",
	"/api/v1/channels", "/api/v1/channels/bench", "/api/v1/sessions", "/api/v1/sessions/x",
	"/api/v1/sessions/x/samples", "/api/v1/sessions/x/notes", "/api/v1/sessions/x/report", "/api/v1/meanings", "/api/v1/batteries", "/api/v1/batteries/mower", "/api/v1/batteries/mower/readings",
	"/api/v1/batteries/mower/condition", "/api/v1/plan", "/api/v1/ports", "/api/v1/channels/bench/lines", "/api/v1/channels/bench/layout", "/api/v1/live",
}

func TestEveryIsEachRoute(t *testing.T) {
	server, err := os.ReadFile("server.go")
	require.NoError(t, err)
	patterns := regexp.MustCompile(`"GET (/[^"]+)"`).FindAllStringSubmatch(string(server), -1)
	require.NotEmpty(t, patterns)
	for _, pattern := range patterns {
		route := regexp.MustCompile("^" + regexp.MustCompile(`\{\w+\}`).ReplaceAllString(pattern[1], "[^/]+") + "$")
		assert.True(t, slices.ContainsFunc(every, route.MatchString), "add %s to every", pattern[1])
	}
}

func TestS1ForeignHostIsMisdirected(t *testing.T) {
	b := newBench(t, func(o *Options) { o.Access.Hosts = []string{"Battery.Example.org"} })
	for _, host := range []string{
		"evil.example", "127.0.0.1.evil.example", "127.1", "2130706433", "0x7f.1", "127.0.0.1:evil", "localhost:", "localhost:80:80", "localhost:123456", "",
		"[::1", "[::1]x", "[::1]:x", "::1", "[fe80::1%25eth0]", "[127.0.0.1]", "010.0.0.1", "localhost..", "garage.example", "localhost@evil.example", "*",
	} {
		for _, path := range every {
			w := b.ask("GET", path, "", "Host", host, "X-Forwarded-Host", "localhost", "Forwarded", "host=localhost")
			require.Equal(t, http.StatusMisdirectedRequest, w.Code, "%s at %q", path, host)
		}
	}
	for _, host := range []string{
		"localhost", "LOCALHOST:9724", "localhost.", "localhost.:80", "127.0.0.1", "127.0.0.1:9724", "[::1]:8080", "[::1]", "192.168.1.20:9724",
		"garage", "garage:9724", "garage.local", "Garage.local.", "battery.example.org:9724",
	} {
		w := b.ask("GET", "/api/v1/channels", "", "Host", host, "X-Forwarded-Host", "evil.example")
		assert.Equal(t, http.StatusOK, w.Code, host)
	}
}

func TestS2S3RequestsOfOtherSitesAreForbidden(t *testing.T) {
	b := newBench(t)
	b.hub.Publish(live.Channel{Name: "bench"})
	for _, headers := range [][]string{
		{"Origin", "http://evil.example"},
		{"Origin", "null"},
		{"Origin", "http://localhost:1"},
		{"Origin", "http://localhost.evil.example"},
		{"Origin", "%"},
		{"Sec-Fetch-Site", "cross-site"},
		{"Sec-Fetch-Site", "same-site"},
		{"Sec-Fetch-Site", "nonsense"},
		{"Sec-Fetch-Site", "same-origin", "Origin", "http://evil.example"},
		{"Sec-Fetch-Site", "cross-site", "Origin", "http://localhost"},
		{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate"},
	} {
		for _, path := range every[1:] {
			w := b.ask("GET", path, "", headers...)
			require.Equal(t, http.StatusForbidden, w.Code, "GET %s with %v", path, headers)
			assertNoSharing(t, w)
		}
		w := b.ask("POST", "/api/v1/batteries", `{"name":"mower"}`, headers...)
		require.Equal(t, http.StatusForbidden, w.Code, headers)
		w = b.ask("PATCH", "/api/v1/batteries/mower", `{"note":"x"}`, headers...)
		require.Equal(t, http.StatusForbidden, w.Code, headers)
	}
	all, err := b.book.Batteries(t.Context())
	require.NoError(t, err)
	assert.Empty(t, all)

	for _, headers := range [][]string{{}, {"Origin", "http://localhost"}, {"Origin", "https://LOCALHOST"}, {"Sec-Fetch-Site", "same-origin"}, {"Sec-Fetch-Site", "none"}} {
		assert.Equal(t, http.StatusOK, b.ask("GET", "/api/v1/channels", "", headers...).Code, headers)
	}
	assert.Equal(t, http.StatusCreated, b.ask("POST", "/api/v1/batteries", `{"name":"mower"}`, "Origin", "http://localhost").Code)
	link := []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate"}
	assert.Equal(t, http.StatusOK, b.ask("GET", "/", "", link...).Code, "a link may lead to the page")
	assert.Equal(t, http.StatusForbidden, b.ask("GET", "/", "", "Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "no-cors").Code)
}

func assertNoSharing(t *testing.T, w *httptest.ResponseRecorder) {
	t.Helper()
	for key := range w.Header() {
		assert.False(t, strings.HasPrefix(key, "Access-Control-"), key)
	}
	assert.Equal(t, "same-origin", w.Header().Get("Cross-Origin-Resource-Policy"))
}

func TestS3PreflightAllowsNothing(t *testing.T) {
	b := newBench(t)
	for _, path := range every {
		w := b.ask("OPTIONS", path, "", "Origin", "http://evil.example", "Access-Control-Request-Method", "POST")
		assert.Equal(t, http.StatusForbidden, w.Code, path)
		assertNoSharing(t, w)
		w = b.ask("OPTIONS", path, "")
		assert.Equal(t, http.StatusMethodNotAllowed, w.Code, path)
		assertNoSharing(t, w)
	}
}

func TestS2TheKindOfJSONMatters(t *testing.T) {
	b := newBench(t)
	assert.Equal(t, http.StatusUnsupportedMediaType,
		b.ask("POST", "/api/v1/batteries", `{"name":"mower"}`, "Content-Type", mergeKind).Code, "a patch makes nothing new")
	assert.Equal(t, http.StatusCreated,
		b.ask("POST", "/api/v1/batteries", `{"name":"mower"}`, "Content-Type", "application/json; charset=utf-8").Code)
}

func TestS7BodiesThatAreNoFields(t *testing.T) {
	b := newBench(t)
	for body, status := range map[string]int{
		`{`: 400, `null`: 400, `[]`: 400, `"x"`: 400, `{"name":"a"} {}`: 400, `{"name":"a"}x`: 400, "{\"name\":\"a\x00\"}": 400,
		strings.Repeat(`{"a":`, 10_001) + "1" + strings.Repeat("}", 10_001):      400,
		strings.Repeat(`{"a":`, 10_000) + "1" + strings.Repeat("}", 10_000):      400,
		`{"name":"` + strings.Repeat("a", 64<<10) + `"}`:                         413,
		`{"name":"` + strings.Repeat("a", 60<<10) + `"}`:                         422,
		`{"name":"a","colour":"red"}`:                                            422,
		`{"name":` + strings.Repeat("[", 5000) + strings.Repeat("]", 5000) + `}`: 400,
		`{"name":[["a"]]}`: 422,
		`{}`:               422,
	} {
		w := b.ask("POST", "/api/v1/batteries", body)
		assert.Equal(t, status, w.Code, "%.40s", body)
		assert.Less(t, w.Body.Len(), 3*longestDetail, "%.40s", body)
	}
}

func TestS8PathsThatLeadNowhere(t *testing.T) {
	b := newBench(t)
	long := strings.Repeat("a", 300)
	for _, path := range []string{
		"/../../etc/passwd", "/%2e%2e%2f%2e%2e%2fetc/passwd", "/..%5c..%5cboot.ini", "/..\\boot.ini", "/static/page.js", "/index.html",
		"/api/v1/sessions/%2e%2e", "/api/v1/sessions/..%2f..%2fdata", "/api/v1/sessions/%00", "/api/v1/sessions/a%00b/samples",
		"/api/v1/batteries/" + long, "/api/v1/sessions/" + long, "/api/v1/channels/" + long, "/" + strings.Repeat("a/", 5000),
		"/api/v1/batteries/a%2fb", "/api/v1//batteries", "/api/v1/batteries/", "/api/v1/./batteries", "/api/v1/batteries/%ff", "/%0a", "/api", "/api/v2/sessions",
		"/app.js/", "/favicon.ico",
	} {
		w := b.ask("GET", path, "")
		assert.Equal(t, http.StatusNotFound, w.Code, path)
		assert.Equal(t, "application/problem+json", w.Header().Get("Content-Type"), path)
	}
}

func TestWrongMethodNamesTheRightOnes(t *testing.T) {
	b := newBench(t)
	w := b.ask("DELETE", "/api/v1/batteries", "")
	assert.Equal(t, http.StatusMethodNotAllowed, w.Code)
	assert.Equal(t, "GET, HEAD, POST", w.Header().Get("Allow"))
	assert.Equal(t, "application/problem+json", w.Header().Get("Content-Type"))
	for _, path := range every {
		assert.Equal(t, http.StatusMethodNotAllowed, b.ask("PUT", path, "{}").Code, path)
	}
}

// Every answer, good or bad, forbids scripts that are not ours.
func TestS4PolicyStandsOnEveryAnswer(t *testing.T) {
	b := newBench(t)
	answers := []*httptest.ResponseRecorder{
		b.ask("GET", "/", "", "Host", "evil.example"), b.ask("GET", "/", "", "Origin", "null"),
		b.ask("GET", "/nowhere", ""), b.ask("PUT", "/", ""), b.ask("POST", "/api/v1/batteries", "{"),
	}
	for _, path := range every {
		answers = append(answers, b.ask("HEAD", path, ""))
	}
	for _, w := range answers {
		assert.Equal(t, policy, w.Header().Get("Content-Security-Policy"))
		assert.Equal(t, "nosniff", w.Header().Get("X-Content-Type-Options"))
		assert.NotEmpty(t, w.Header().Get("Content-Type"))
	}
	assert.True(t, strings.HasPrefix(policy, "default-src 'none'; "))
	assert.NotContains(t, policy, "unsafe")
	assert.Contains(t, policy, "frame-ancestors 'none'")
}

// Text of a source, a person or a path never becomes an element of a page.
func TestS4MarkupStaysText(t *testing.T) {
	b := newBench(t)
	for _, evil := range []string{`<img src=x onerror=alert(1)>`, `</script><script>alert(1)</script>`, `"><svg onload=alert(1)>`} {
		b.hub.Publish(live.Channel{Name: evil, StageWhy: live.Text(evil), Source: live.Source{State: evil}, RejectedByReason: map[string]int{evil: 1}})
		b.ask("POST", "/api/v1/batteries", `{"name":"mower","note":"`+strings.ReplaceAll(evil, `"`, `\"`)+`"}`)
		shown := slices.Clip(every[:len(every)-1]) // without the stream, and without writing over it
		for _, path := range append(shown, "/"+strings.ReplaceAll(strings.ReplaceAll(evil, " ", "%20"), `"`, "%22")) {
			w := b.ask("GET", path, "")
			if strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
				assert.Equal(t, "/", path, "one page, made of no data")
			}
			for _, element := range []string{"<img src=x", "<script>alert", "<svg onload"} {
				assert.NotContains(t, w.Body.String(), element, path)
			}
		}
	}
}

// writes is each route that changes something, asked as it wants to be asked.
var writes = map[string]string{
	"POST /api/v1/batteries":                `{"name":"mower"}`,
	"PATCH /api/v1/batteries/mower":         `{"note":"x"}`,
	"POST /api/v1/batteries/mower/readings": `{"volts":12.7}`,
	"POST /api/v1/channels/bench/limits":    `{"hours":20}`,
	"POST /api/v1/sessions/x/notes":         `{"text":"x"}`,
	"PATCH /api/v1/sessions/x":              `{"battery":"mower"}`,
}

// Every route that changes something is held to the same; the server's own list
// shows that none was forgotten here.
func TestS2EveryWriteIsGuarded(t *testing.T) {
	server, err := os.ReadFile("server.go")
	require.NoError(t, err)
	listed := regexp.MustCompile(`"(POST|PUT|PATCH|DELETE) /`).FindAllString(string(server), -1)
	assert.Len(t, listed, len(writes), "add the new route to writes above")
	b := newBench(t, setup)
	shut := newBench(t, setup, func(o *Options) { o.Access.TokenFile = write(t, "token", token+"\n") })
	for route, body := range writes {
		method, path, _ := strings.Cut(route, " ")
		for _, headers := range [][]string{{"Origin", "http://evil.example"}, {"Origin", "null"}, {"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Site", "same-site"}} {
			assert.Equal(t, http.StatusForbidden, b.ask(method, path, body, headers...).Code, "%s %v", route, headers)
		}
		for _, kind := range []string{"", "text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "text/json", "application/json, text/plain"} {
			assert.Equal(t, http.StatusUnsupportedMediaType, b.ask(method, path, body, "Content-Type", kind).Code, "%s %q", route, kind)
		}
		assert.Equal(t, http.StatusMisdirectedRequest, b.ask(method, path, body, "Host", "evil.example").Code, route)
		assert.Equal(t, http.StatusRequestEntityTooLarge, b.ask(method, path, `{"name":"`+strings.Repeat("a", 64<<10)+`"}`).Code, route)
		assert.Equal(t, http.StatusBadRequest, b.ask(method, path, strings.Repeat(`{"a":`, 10_001)+"1"+strings.Repeat("}", 10_001)).Code, route)
		assert.Equal(t, http.StatusUnauthorized, shut.ask(method, path, body).Code, route)
		assert.Equal(t, http.StatusUnauthorized, shut.ask(method, path, body, "Authorization", "Bearer "+token[1:]).Code, route)
	}
	all, err := b.book.Batteries(t.Context())
	require.NoError(t, err)
	assert.Empty(t, all, "nothing of it was done")
	for _, path := range every[:len(every)-1] {
		b.ask("GET", path, "")
	}
	all, err = b.book.Batteries(t.Context())
	require.NoError(t, err)
	assert.Empty(t, all, "a GET changes nothing")
}

func TestS5NoDebugPages(t *testing.T) {
	b := newBench(t)
	for _, path := range []string{"/debug/pprof/", "/debug/pprof/heap", "/debug/pprof/cmdline", "/debug/vars", "/debug/requests", "/debug/events"} {
		assert.Equal(t, http.StatusNotFound, b.ask("GET", path, "").Code, path)
	}
}
