package influx

import (
	"bufio"
	"crypto/tls"
	"encoding/base64"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"amphora/dashboards/push/spool"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// raw is a server that answers each connection with bytes of its own.
func raw(t *testing.T, answer func(net.Conn)) string {
	return "http://" + testhelp.Serve(t, func(c net.Conn) {
		r, err := http.ReadRequest(bufio.NewReader(c))
		if err == nil {
			_, err = io.Copy(io.Discard, r.Body)
		}
		if err == nil {
			answer(c)
		}
	})
}

// slowly writes a byte every so often, until nobody listens any more.
func slowly(c net.Conn, text string) {
	for k := range text {
		if _, err := io.WriteString(c, text[k:k+1]); err != nil {
			return
		}
		time.Sleep(20 * time.Millisecond) // the other side is a real connection
	}
}

func endless(c net.Conn, text string) {
	for {
		if _, err := io.WriteString(c, text); err != nil {
			return
		}
	}
}

const lines = "charge_sample,channel=a voltage=12 1773524400000000000\n"

// post posts once to a server, which is given so much time to answer.
func post(t *testing.T, s *Server, limit time.Duration) error {
	t.Helper()
	c := courier{server: s, limit: limit}
	return c.post(t.Context(), spool.Compress([]byte(lines)))
}

// However a server behaves over a real connection, a try ends in time, and what went
// wrong is said in a few words. None of it is the fault of the points.
func TestServersThatMisbehave(t *testing.T) {
	stranger := httptest.NewUnstartedServer(http.NotFoundHandler())
	stranger.Config.ErrorLog = log.New(io.Discard, "", 0)
	stranger.StartTLS()
	t.Cleanup(stranger.Close)
	for name, c := range map[string]struct{ url, want string }{
		"refuses":                 {"http://127.0.0.1:1", "connection refused"},
		"hangs":                   {raw(t, func(c net.Conn) { _, _ = io.Copy(io.Discard, c) }), "no answer in time"},
		"hangs up":                {raw(t, func(net.Conn) {}), "closed the connection without an answer"},
		"a byte at a time":        {raw(t, func(c net.Conn) { slowly(c, "HTTP/1.1 204 No Content\r\nX-Slow: "+strings.Repeat("x", 1000)) }), "no answer in time"},
		"an endless header":       {raw(t, func(c net.Conn) { io.WriteString(c, "HTTP/1.1 204 No Content\r\n"); endless(c, "X-More: more\r\n") }), "exceeded"},
		"no HTTP":                 {raw(t, func(c net.Conn) { io.WriteString(c, "220 mail.example ESMTP\r\n") }), "malformed HTTP"},
		"an endless reason":       {raw(t, func(c net.Conn) { io.WriteString(c, "HTTP/1.1 500 No\r\n\r\n"); endless(c, "very sorry ") }), "it answers 500 Internal Server Error: very sorry"},
		"a reason, slowly":        {raw(t, func(c net.Conn) { io.WriteString(c, "HTTP/1.1 503 No\r\n\r\n"); slowly(c, strings.Repeat("z", 1000)) }), "it answers 503 Service Unavailable: zz"},
		"an unknown issuer":       {stranger.URL, "certificate"},
		"TLS where there is none": {"https" + strings.TrimPrefix(raw(t, func(net.Conn) {}), "http"), ""},
		"no such host":            {"http://nowhere.invalid", ""},
		"no address":              {"http://", "the address is not one that can be used"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			err := post(t, &Server{URL: c.url, Database: "garage"}, 2*time.Second) // for those that never end
			require.Error(t, err)
			assert.ErrorContains(t, err, c.want)
			assert.False(t, errors.As(err, new(*refusal)), err)
			assert.Less(t, len(err.Error()), 300)
			assert.NotContains(t, err.Error(), "/write", "of an address only the host")
		})
	}
}

// An answer that says that all is well counts at once, however long the rest takes.
func TestSuccessIsNotWaitedFor(t *testing.T) {
	url := raw(t, func(c net.Conn) { io.WriteString(c, "HTTP/1.1 200 OK\r\n\r\n"); endless(c, "and another thing ") })
	require.NoError(t, post(t, &Server{URL: url, Database: "garage"}, tryLimit))
}

// Which answers are the points' fault, which ask for patience, and which for more of
// it.
func TestAnswers(t *testing.T) {
	status, after := atomic.Int32{}, atomic.Value{}
	after.Store("")
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Retry-After", after.Load().(string))
		w.WriteHeader(int(status.Load()))
	}))
	defer server.Close()
	for _, code := range []int{400, 413, 422} {
		status.Store(int32(code))
		assert.ErrorAs(t, post(t, &Server{URL: server.URL, Database: "x"}, tryLimit), new(*refusal), code)
	}
	for _, code := range []int{301, 401, 403, 404, 405, 409, 415, 429, 500, 502, 503, 504, 507} {
		status.Store(int32(code))
		err := post(t, &Server{URL: server.URL, Database: "x"}, tryLimit)
		require.ErrorContains(t, err, fmt.Sprint(code))
		assert.False(t, errors.As(err, new(*refusal)), code)
	}
	for text, want := range map[string]time.Duration{"17": 17 * time.Second, "-3": 0, "soon": 0, "99999999": time.Hour} {
		status.Store(429)
		after.Store(text)
		asked := (*busy)(nil)
		require.ErrorAs(t, post(t, &Server{URL: server.URL, Database: "x"}, tryLimit), &asked)
		assert.Equal(t, want, asked.after, text)
	}
	for _, code := range []int{200, 202, 204} {
		status.Store(int32(code))
		assert.NoError(t, post(t, &Server{URL: server.URL, Database: "x"}, tryLimit))
	}
}

// Whoever answers for a host must not choose who gets the points, and the secret.
func TestRedirects(t *testing.T) {
	elsewhere := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { t.Error("the points came here") }))
	defer elsewhere.Close()
	to, taken := elsewhere.URL+"/write", false
	mux := http.NewServeMux()
	mux.HandleFunc("/write", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, to, http.StatusTemporaryRedirect) })
	mux.HandleFunc("/new/write", func(_ http.ResponseWriter, r *http.Request) {
		b, err := io.ReadAll(r.Body)
		assert.NoError(t, err)
		text, err := spool.Expand(b)
		assert.NoError(t, err)
		taken = string(text) == lines
	})
	server := httptest.NewServer(mux)
	defer server.Close()
	s := &Server{URL: server.URL, Database: "x"}
	assert.ErrorContains(t, post(t, s, tryLimit), "307 Temporary Redirect, which sends us elsewhere")
	to = "/new/write"
	assert.NoError(t, post(t, s, tryLimit))
	assert.True(t, taken, "on the same host it is followed")
}

// How a request looks to a server of either kind.
func TestRequests(t *testing.T) {
	for _, c := range []struct {
		server              Server
		uri, authentication string
	}{
		{Server{Database: "garage"}, "/write?db=garage&precision=ns", ""},
		{Server{Database: "a b&c", User: "amphora", PasswordFile: testhelp.File(t, "pass word\nmore\n")}, "/write?db=a+b%26c&precision=ns",
			"Basic " + base64.StdEncoding.EncodeToString([]byte("amphora:pass word"))},
		{Server{Database: "garage", TokenFile: testhelp.File(t, "abc\n")}, "/write?db=garage&precision=ns", "Bearer abc"},
		{Server{Org: "house", Bucket: "garage", TokenFile: testhelp.File(t, "abc\n")}, "/api/v2/write?bucket=garage&org=house&precision=ns", "Token abc"},
		{Server{Org: "house", Bucket: "garage", TokenFile: testhelp.File(t, "Bearer abc\n")}, "/api/v2/write?bucket=garage&org=house&precision=ns", "Bearer abc"},
		{Server{URL: "/insert/7/?rp=year", Database: "garage"}, "/insert/7/write?db=garage&precision=ns&rp=year", ""},
	} {
		seen := make(chan *http.Request, 1)
		server := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) { seen <- r }))
		c.server.URL = server.URL + c.server.URL
		require.NoError(t, post(t, &c.server, tryLimit))
		r := <-seen
		assert.Equal(t, c.uri, r.RequestURI)
		assert.Equal(t, c.authentication, r.Header.Get("Authorization"))
		assert.Equal(t, "gzip", r.Header.Get("Content-Encoding"))
		assert.Equal(t, http.MethodPost, r.Method)
		assert.Empty(t, r.Header.Get("Idempotency-Key"))
		server.Close()
	}
}

// A server with a certificate of its owner's making is believed if that is among those
// to trust, and the file may come later.
func TestCertificateOfOnesOwn(t *testing.T) {
	server := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(204) }))
	server.TLS = &tls.Config{MinVersion: tls.VersionTLS12}
	server.StartTLS()
	defer server.Close()
	s := &Server{URL: server.URL, Database: "garage", CAFile: filepath.Join(t.TempDir(), "ca.pem")}
	c := courier{server: s, limit: tryLimit}
	require.ErrorContains(t, c.post(t.Context(), nil), "no such file")
	require.NoError(t, os.WriteFile(s.CAFile, []byte("nonsense"), 0o600))
	require.ErrorContains(t, c.post(t.Context(), nil), "holds no certificate")
	text := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: server.Certificate().Raw})
	require.NoError(t, os.WriteFile(s.CAFile, text, 0o600))
	require.NoError(t, c.post(t.Context(), nil))
}
