package web

import (
	"bufio"
	"context"
	"errors"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/crypto/bcrypt"
)

const token = "canary-token-0123456789"

// users writes a file of users, with the cheapest hash that there is.
func users(t *testing.T, path string, namesAndPasswords ...string) string {
	t.Helper()
	text := "# who may look\n\n"
	for i := 0; i < len(namesAndPasswords); i += 2 {
		hash, err := bcrypt.GenerateFromPassword([]byte(namesAndPasswords[i+1]), bcrypt.MinCost)
		require.NoError(t, err)
		text += namesAndPasswords[i] + []string{":", " : "}[i/2%2] + string(hash) + "\n"
	}
	return write(t, path, text)
}

func basic(name, password string) []string {
	r := &http.Request{Header: make(http.Header)}
	r.SetBasicAuth(name, password)
	return []string{"Authorization", r.Header.Get("Authorization")}
}

// A stream goes on for days. It ends for whoever is taken out of the users, and for nobody else.
func TestS6StreamEndsWithTheLogin(t *testing.T) {
	path := users(t, "users", "ann", "tea and toast", "bob", "coffee")
	b := newBench(t, func(o *Options) { o.Access.UsersFile = path })
	server := httptest.NewServer(b.Server)
	t.Cleanup(server.Close)
	listen := func(login []string) *bufio.Reader {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, server.URL+"/api/v1/live", nil)
		require.NoError(t, err)
		r.Header.Set(login[0], login[1])
		answer, err := server.Client().Do(r)
		require.NoError(t, err)
		require.Equal(t, http.StatusOK, answer.StatusCode)
		t.Cleanup(func() { answer.Body.Close() }) // the server waits for it
		return bufio.NewReader(answer.Body)
	}
	ann, bob := listen(basic("ann", "tea and toast")), listen(basic("bob", "coffee"))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	_, only, _ := strings.Cut(string(text), "bob")
	require.NoError(t, os.WriteFile(path, []byte("bob"+only), 0o600))
	ended := make(chan error, 1)
	go func() {
		_, err := io.Copy(io.Discard, ann)
		ended <- err
	}()
	select {
	case err := <-ended:
		assert.NoError(t, err)
	case <-time.After(10 * time.Second):
		t.Error("it goes on")
	}
	before := time.Now()
	for n := 0; time.Since(before) < 1500*time.Millisecond; n++ { // what the other sees goes on
		b.live.Publish(live.Channel{Name: "bench", Used: n})
		_, err := bob.ReadString('\n')
		require.NoError(t, err)
	}
}

func TestS6NothingIsShownWithoutALogin(t *testing.T) {
	b := newBench(t, func(o *Options) {
		o.Access.TokenFile = write(t, "token", token+"\n")
		o.Access.UsersFile = users(t, "users", "ann", "tea and toast")
	})
	for _, path := range every {
		w := b.ask("GET", path, "")
		if probes[path] {
			assert.Equal(t, http.StatusOK, w.Code, path)
			assert.Equal(t, strings.TrimPrefix(path, "/-/")+"\n", w.Body.String())
			continue
		}
		assert.Equal(t, http.StatusUnauthorized, w.Code, path)
		assert.Contains(t, w.Header().Get("WWW-Authenticate"), "Basic ")
	}
	assert.Equal(t, http.StatusUnauthorized, b.ask("POST", "/api/v1/batteries", `{"name":"mower"}`).Code)
	for _, good := range [][]string{
		{"Authorization", "Bearer " + token}, {"Authorization", "bearer  " + token}, basic("", token), basic("anybody", token), basic("ann", "tea and toast"),
	} {
		assert.Equal(t, http.StatusOK, b.ask("GET", "/api/v1/channels", "", good...).Code, good)
	}
	assert.Equal(t, http.StatusCreated, b.ask("POST", "/api/v1/batteries", `{"name":"mower"}`, basic("ann", "tea and toast")...).Code)
	for _, bad := range [][]string{
		{"Authorization", "Bearer"},
		{"Authorization", "Bearer " + token[1:]},
		{"Authorization", "Digest " + token},
		{"Authorization", "Bearer tea and toast"},
		basic("ann", "tea"), basic("bob", "tea and toast"), basic("ann", ""), basic("", ""),
	} {
		assert.Equal(t, http.StatusUnauthorized, b.ask("GET", "/api/v1/channels", "", bad...).Code, bad)
	}
}

// A supervisor has no login. It is told that something is wrong, and nothing else.
func TestS6AProbeWithoutALoginIsToldYesOrNo(t *testing.T) {
	ill := func() error { return errors.New("bench: /srv/amphora: no space left on device") }
	b := newBench(t, func(o *Options) {
		o.Access.UsersFile = users(t, "users", "ann", "tea and toast")
		o.Healthy, o.Ready = ill, ill
	})
	for path := range probes {
		w := b.ask("GET", path, "")
		assert.Equal(t, http.StatusServiceUnavailable, w.Code, path)
		assert.NotContains(t, w.Body.String(), "bench")
		assert.NotContains(t, w.Body.String(), "space")
		w = b.ask("GET", path, "", basic("ann", "tea and toast")...)
		assert.Equal(t, http.StatusServiceUnavailable, w.Code, path)
		assert.Contains(t, w.Body.String(), "bench: /srv/amphora: no space left")
		assert.Equal(t, http.StatusUnauthorized, b.ask("GET", path, "", basic("ann", "coffee")...).Code, "who guesses is told so")
		assert.Equal(t, http.StatusMisdirectedRequest, b.ask("GET", path, "", "Host", "evil.example").Code)
	}
}

func TestS6WrongNameAndWrongPasswordLookAlike(t *testing.T) {
	b := newBench(t, func(o *Options) { o.Access.UsersFile = users(t, "users", "ann", "tea and toast") })
	name := b.ask("GET", "/", "", basic("bob", "tea and toast")...)
	password := b.ask("GET", "/", "", basic("ann", "coffee")...)
	assert.Equal(t, http.StatusUnauthorized, name.Code)
	assert.Equal(t, password.Code, name.Code)
	assert.Equal(t, password.Header(), name.Header())
	assert.Equal(t, password.Body.String(), name.Body.String())
}

func TestS6UnknownNameCostsAHashToo(t *testing.T) {
	s, err := readSecrets(Access{UsersFile: users(t, "users", "ann", "tea and toast")})
	require.NoError(t, err)
	assert.Equal(t, 2, cap(newBench(t).login.turn), "at once")
	turn := make(chan struct{}, 1)
	turn <- struct{}{} // somebody else is hashing
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	for _, name := range []string{"ann", "bob"} {
		_, err := s.accept(gone, name, "coffee", turn)
		assert.ErrorIs(t, err, context.Canceled, "%s waits for its turn", name)
	}
	<-turn
	fastest := map[string]time.Duration{"ann": time.Hour, "bob": time.Hour}
	for range 5 {
		for name := range fastest {
			began := time.Now()
			ok, err := s.accept(t.Context(), name, "coffee", turn)
			fastest[name] = min(fastest[name], time.Since(began))
			require.NoError(t, err)
			require.False(t, ok)
		}
	}
	assert.Greater(t, fastest["bob"], fastest["ann"]/4)
}

func TestS6FailedLoginsAreSlowed(t *testing.T) {
	var mu sync.Mutex
	now := evening
	b := newBench(t, func(o *Options) {
		o.Access.UsersFile = users(t, "users", "ann", "tea and toast")
		o.Now = func() time.Time {
			mu.Lock()
			defer mu.Unlock()
			return now
		}
	})
	try := func(headers ...string) int { return b.ask("GET", "/-/ready", "", headers...).Code }
	for range burstEach {
		require.Equal(t, http.StatusUnauthorized, try(basic("ann", "coffee")...))
	}
	w := b.ask("GET", "/-/ready", "", basic("ann", "coffee")...)
	require.Equal(t, http.StatusTooManyRequests, w.Code)
	assert.Equal(t, "10", w.Header().Get("Retry-After"))
	assert.Equal(t, http.StatusTooManyRequests, try(basic("ann", "tea and toast")...), "even the right one, or guessing would pay")
	assert.Equal(t, http.StatusUnauthorized, b.ask("GET", "/", "").Code, "asking costs no attempt")

	now = now.Add(pauseEach)
	assert.Equal(t, http.StatusOK, try(basic("ann", "tea and toast")...))
	for range 3 * burstEach {
		assert.Equal(t, http.StatusOK, try(basic("ann", "tea and toast")...), "a good login is remembered")
	}
	require.Equal(t, http.StatusUnauthorized, try(basic("ann", "coffee")...))
	require.Equal(t, http.StatusTooManyRequests, try(basic("ann", "coffee")...))
	assert.Equal(t, http.StatusOK, try(basic("ann", "tea and toast")...), "who is in stays in")

	elsewhere := func(password string) int {
		r, w := httptest.NewRequest("GET", "http://localhost/-/ready", nil), httptest.NewRecorder()
		r.RemoteAddr = "192.0.2.8:40000"
		r.SetBasicAuth("ann", password)
		b.ServeHTTP(w, r)
		return w.Code
	}
	for range burstEach {
		require.Equal(t, http.StatusUnauthorized, elsewhere("coffee"))
	}
	assert.Equal(t, http.StatusTooManyRequests, elsewhere("tea and toast"), "what is remembered of one lets no other guess it")
}

func TestS6AHouseholdIsOneAddress(t *testing.T) {
	for from, want := range map[string]string{
		"192.0.2.7:40000":          "192.0.2.7",
		"[::ffff:192.0.2.7]:40000": "192.0.2.7",
		"[2001:db8:1:2:3:4:5:6]:9": "2001:db8:1:2::/64",
		"[2001:db8:1:2:ffff::1]:9": "2001:db8:1:2::/64",
		"[2001:db8:1:3::1]:9":      "2001:db8:1:3::/64",
		"[fe80::1%eth0]:9":         "fe80::/64",
		"@":                        "@",
	} {
		assert.Equal(t, want, addressOf(&http.Request{RemoteAddr: from}))
	}
}

func TestS6ManyAddressesAreSlowedTogether(t *testing.T) {
	now := evening
	a := newAttempts(func() time.Time { return now })
	refused := 0
	for n := range 10_000 {
		if a.take(string(rune('a'+n))) > 0 {
			refused++
		}
	}
	assert.Equal(t, 10_000-burstAll, refused)
	assert.LessOrEqual(t, len(a.each), addresses)
	now = now.Add(-time.Hour)
	assert.Positive(t, a.take("x"), "a clock that runs back gives nothing away")
	now = now.Add(time.Hour)
	assert.Zero(t, a.take("x"))
}

func TestS6AccessFilesAreReadAgain(t *testing.T) {
	var log testhelp.Log
	path := users(t, "users", "ann", "tea and toast")
	b := newBench(t, func(o *Options) { o.Access.UsersFile, o.Log = path, log.Logger(slog.LevelDebug) })
	try := func(name, password string) int { return b.ask("GET", "/-/ready", "", basic(name, password)...).Code }
	require.Equal(t, http.StatusOK, try("ann", "tea and toast"))

	users(t, path, "ann", "tea and toast", "bob", "beer") // one of them with spaces about the colon
	assert.Equal(t, http.StatusOK, try("bob", "beer"))
	write(t, path, "bob:")
	assert.Equal(t, http.StatusOK, try("ann", "tea and toast"), "half a file locks nobody out")
	assert.Contains(t, log.String(), "is not a name, a colon and a bcrypt hash")
	users(t, path, "bob", "beer")
	assert.Equal(t, http.StatusUnauthorized, try("ann", "tea and toast"), "what is taken out is forgotten")
	assert.Equal(t, http.StatusOK, try("bob", "beer"))
}

// A password is taken out while a login with it is being checked: that one was right when it
// came, and the next is refused.
func TestS6ALoginThatIsBeingCheckedIsNotRemembered(t *testing.T) {
	path := users(t, "users", "ann", "tea and toast")
	b := newBench(t, func(o *Options) {
		o.Access.TokenFile, o.Access.UsersFile = write(t, "token", token), path
	})
	try := func(headers ...string) int { return b.ask("GET", "/-/ready", "", headers...).Code }
	for range hashedAtOnce {
		b.login.turn <- struct{}{} // others are being hashed
	}
	first := make(chan int)
	go func() { first <- try(basic("ann", "tea and toast")...) }()
	testhelp.Until(t, "the attempt", func() bool {
		b.login.attempts.mu.Lock()
		defer b.login.attempts.mu.Unlock()
		return b.login.attempts.all.used > 0
	})
	users(t, path, "bob", "beer")
	require.Equal(t, http.StatusOK, try("Authorization", "Bearer "+token), "which sees that the files are others now")
	for range hashedAtOnce {
		<-b.login.turn
	}
	assert.Equal(t, http.StatusOK, <-first)
	assert.Equal(t, http.StatusUnauthorized, try(basic("ann", "tea and toast")...))
}

func TestAccessFilesThatCannotBeUsed(t *testing.T) {
	for _, a := range []Access{
		{TokenFile: "nowhere"},
		{TokenFile: write(t, "t", "short\n")},
		{TokenFile: write(t, "t", token+"\n"+token)},
		{TokenFile: write(t, "t", "")},
		{UsersFile: write(t, "u", "")},
		{UsersFile: write(t, "u", "ann:plain")},
		{UsersFile: write(t, "u", "ann")},
		{UsersFile: write(t, "u", strings.Repeat("x", longestBody+1))},
		{TLSCert: "cert.pem"},
		{TLSKey: "key.pem"},
		{TLSCert: "nowhere", TLSKey: "nowhere"},
	} {
		_, err := New(Options{Access: a})
		require.Error(t, err, "%+v", a)
		assert.NotContains(t, err.Error(), token)
	}
}

// No secret is found anywhere afterwards, whatever failed.
func TestS13SecretsDoNotLeak(t *testing.T) {
	var log testhelp.Log
	b := newBench(t, func(o *Options) {
		o.Access.TokenFile = write(t, "token", token)
		o.Access.UsersFile = users(t, "users", "ann", "canary-password")
		o.Log = log.Logger(slog.LevelDebug)
	})
	seen := ""
	for _, headers := range [][]string{
		basic("ann", "canary-password"), basic("ann", "canary-guess"), basic("canary-password", "ann"), {"Authorization", "Bearer " + token}, {"Authorization", "Bearer canary-guess"},
	} {
		for _, path := range []string{"/", "/metrics", "/api/v1/channels", "/nowhere", "/api/v1/sessions?limit=x", "/api/v1/sessions/x/samples"} {
			w := b.ask("GET", path, "", headers...)
			seen += w.Body.String()
			for key, values := range w.Header() {
				seen += key + strings.Join(values, " ")
			}
		}
	}
	assert.NotContains(t, seen, "canary")
	assert.Contains(t, log.String(), "login refused")
	assert.NotContains(t, log.String(), "canary")
}

// elsewhere is a listener that others could reach, though nobody does.
type elsewhere struct {
	net.Listener
	closed bool
}

func (e *elsewhere) Addr() net.Addr { return &net.TCPAddr{IP: net.IPv4zero, Port: 9724} }

func (e *elsewhere) Close() error {
	e.closed = true
	return e.Listener.Close()
}

func newElsewhere(t *testing.T) *elsewhere {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	return &elsewhere{Listener: l}
}

func TestS6WiderThanLoopbackNeedsALogin(t *testing.T) {
	b := newBench(t)
	l := newElsewhere(t)
	err := b.Serve(t.Context(), l)
	assert.ErrorContains(t, err, "token-file or users-file")
	assert.True(t, l.closed)

	var log testhelp.Log
	b = newBench(t, func(o *Options) { o.Access.TokenFile, o.Log = write(t, "token", token), log.Logger(slog.LevelDebug) })
	require.NoError(t, b.MayServe(l.Addr()))
	over, end := context.WithCancel(t.Context())
	end()
	require.NoError(t, b.Serve(over, newElsewhere(t)))
	assert.Contains(t, log.String(), "overheard")
	for text, only := range map[string]bool{"127.0.0.1:1": true, "[::1]:1": true, "127.8.9.1:1": true, "192.168.1.2:1": false, "[::]:1": false, "0.0.0.0:1": false} {
		at, err := net.ResolveTCPAddr("tcp", text)
		require.NoError(t, err)
		assert.Equal(t, only, loopback(at), text)
	}
}
