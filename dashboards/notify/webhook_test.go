package notify

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// note is a notification of one event.
func note() *Notification {
	e := raised("stalled", analyze.Warning)
	e.Summary = &analyze.Session{ID: "bench-1", ChargeInAh: 21.64}
	e.identify(1)
	n := newNotification([]Event{e}, 0, false, time.Now())
	return &n
}

func TestWebhookSendsWhatWasAgreed(t *testing.T) {
	var got http.Header
	var body []byte
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		got = r.Header
		body, _ = io.ReadAll(r.Body)
		w.WriteHeader(http.StatusAccepted)
	}))
	defer s.Close()
	w := &Webhook{
		URLFile: testhelp.File(t, s.URL+"/x?y=z\n"), TokenFile: testhelp.File(t, "sesame\n"), KeyFile: testhelp.File(t, "key"),
		Headers:     http.Header{"X-Floor": {"1"}},
		HeadersFile: testhelp.File(t, "# a remark\nX-Room: garage\n\nPriority: high: really\n"),
	}
	n := note()
	require.NoError(t, w.Send(t.Context(), n))
	assert.Equal(t, "Bearer sesame", got.Get("Authorization"))
	assert.Equal(t, "garage", got.Get("X-Room"))
	assert.Equal(t, "1", got.Get("X-Floor"))
	assert.Equal(t, "high: really", got.Get("Priority"))
	assert.Equal(t, "application/json", got.Get("Content-Type"))
	assert.Equal(t, n.ID, got.Get("Amphora-Id"))
	m := hmac.New(sha256.New, []byte("key"))
	m.Write(body)
	assert.Equal(t, "sha256="+hex.EncodeToString(m.Sum(nil)), got.Get("Amphora-Signature"))

	var read struct {
		ID, Title, Message, Severity string
		Events                       []struct{ ID, Code, Channel, Battery string }
		Sessions                     []struct {
			ID         string
			ChargeInAh float64 `json:"charge_in_ah"`
		}
	}
	require.NoError(t, json.Unmarshal(body, &read))
	assert.Equal(t, n.ID, read.ID)
	assert.Equal(t, "Warning: bench (mower), stalled", read.Title)
	assert.Equal(t, "evidence of stalled", read.Message)
	assert.Equal(t, "stalled", read.Events[0].Code)
	assert.Equal(t, 21.64, read.Sessions[0].ChargeInAh)
}

// The example of RFC 4231, 4.3 (test case 2).
func TestSignature(t *testing.T) {
	assert.Equal(t, "sha256=5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843", sign("Jefe", []byte("what do ya want for nothing?")))
}

// canaries is a server that answers, or fails to, as the path says, and repeats what it
// was given.
func canaries(t *testing.T) (base string) {
	elsewhere := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) {
		t.Error("a redirect was followed to another host")
	}))
	t.Cleanup(elsewhere.Close)
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		_, _ = io.Copy(io.Discard, r.Body) // only then is it noticed that the client goes
		w.Header().Set("X-Echo", r.Header.Get("Authorization"))
		switch r.URL.Path {
		case "/canary/401", "/canary/500", "/canary/429":
			code := map[string]int{"/canary/401": 401, "/canary/500": 500, "/canary/429": 429}[r.URL.Path]
			http.Error(w, r.URL.String()+r.Header.Get("Authorization"), code)
		case "/canary/away":
			http.Redirect(w, r, elsewhere.URL+"/canary", http.StatusTemporaryRedirect)
		case "/canary/get":
			http.Redirect(w, r, base+"/canary/ok", http.StatusFound)
		case "/canary/here":
			http.Redirect(w, r, base+"/canary/ok", http.StatusPermanentRedirect)
		case "/canary/loop":
			http.Redirect(w, r, base+"/canary/loop", http.StatusTemporaryRedirect)
		case "/canary/cut":
			panic(http.ErrAbortHandler)
		case "/canary/long":
			_, _ = io.Copy(w, io.LimitReader(endless{}, 1<<30)) // it is told to stop at some time
		case "/canary/hang":
			<-r.Context().Done()
		}
	}))
	t.Cleanup(s.Close)
	base = s.URL
	return base
}

// Whatever goes wrong, what is said of it holds no secret.
func TestS13WebhookKeepsSecrets(t *testing.T) {
	base := canaries(t)
	closed := httptest.NewServer(nil)
	closed.Close()
	token := testhelp.File(t, "canary-token")
	for _, c := range []struct {
		url, want string
		refused   bool
	}{
		{base + "/canary/ok", "", false},
		{base + "/canary/here", "", false},
		{base + "/canary/long", "", false},
		{base + "/canary/401", "401 Unauthorized", true},
		{base + "/canary/429", "429 Too Many Requests", false},
		{base + "/canary/500", "500 Internal Server Error", false},
		{base + "/canary/away", "answers 307", true},
		{base + "/canary/get", "answers 302", true},
		{base + "/canary/loop", "answers 307", true},
		{base + "/canary/cut", "closed the connection without an answer", false},
		{base + "/canary/hang", "no answer in time", false},
		{closed.URL + "/canary", "connection refused", false},
		{"://canary", "not one that can be used", false},
		{"http://canary host/", "not one that can be used", false},
		{"ftp://host.example/canary", "the address is not one that can be used", false},
	} {
		patience := time.Minute
		if c.want == "no answer in time" {
			patience = 500 * time.Millisecond
		}
		ctx, cancel := context.WithTimeout(t.Context(), patience)
		w := &Webhook{URL: c.url, TokenFile: token}
		err := w.Send(ctx, note())
		cancel()
		if c.want == "" {
			assert.NoError(t, err, c.url)
			continue
		}
		require.Error(t, err, c.url)
		assert.Contains(t, err.Error(), c.want)
		assert.Equal(t, c.refused, strings.HasPrefix(err.Error(), "refused"), err)
		assert.NotContains(t, err.Error()+w.Name(), "canary")
	}
	for _, w := range []*Webhook{
		{URLFile: testhelp.File(t, "\ncanary")},
		{URL: base, HeadersFile: testhelp.File(t, "canary")},
		{URL: base, HeadersFile: testhelp.File(t, "Name: a\x00canary")},
	} {
		err := w.Send(t.Context(), note())
		require.Error(t, err)
		assert.NotContains(t, err.Error()+w.Name(), "canary")
	}
}

// endless is text without end.
type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }
