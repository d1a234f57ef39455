//go:build linux

package e2e

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever is wrong with a configuration that is to be read anew, in the file or around it: the old
// one goes on, and not a line is missed that comes after.
func TestAConfigurationThatCannotBeBegunEndsNoRecording(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	write := func(name, text string) string {
		file := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		return file
	}
	short, users := write("short", "short\n"), write("users", "bob:plain\n")
	spoilt := filepath.Join(dir, "spoilt")
	require.NoError(t, os.MkdirAll(filepath.Join(spoilt, "journal"), 0o750))
	write("spoilt/journal/bench", "in the way")
	other := newPlace(t)
	other.channel(t, "other", newPort(t).source())
	holder := serve(t, other.config)
	defer holder.stop()

	at, port := newPlace(t), newPort(t)
	token := write("token", "0123456789abcdef0123\n")
	at.settings = "access: {token-file: " + token + "}\n"
	at.channel(t, "bench", port.source())
	good := *at
	p := serve(t, at.config)
	refused := 0
	refuses := func(what, why string) {
		require.NoError(t, p.cmd.Process.Signal(syscall.SIGHUP))
		refused++
		testhelp.Until(t, "the refusal of "+what, func() bool {
			return p.gone() || p.log.Count("the old one stays")+p.log.Count("the old one goes on") == refused
		})
		require.False(t, p.gone(), "%s: %s", what, p.log.String())
		assert.Contains(t, p.log.String(), why, what)
	}
	for _, c := range []struct{ what, data, settings, why string }{
		{"a token that is short", at.data, "access: {token-file: " + short + "}\n", "short holds no token"},
		{"users without a hash", at.data, "access: {users-file: " + users + "}\n", "users line 1 is not a name"},
		{"a password that is missing", at.data, "push: [{mqtt: {broker: 'mqtt://127.0.0.1', topic: a, user: u, password-file: away}}]\n", "away: no such file"},
		{"a data folder that cannot be made", "/proc/amphora", "", "/proc/amphora"},
		{"a data folder that is a file", short, "", "short"},
		{"a data folder of another daemon", other.data, "", "is held by process"},
		{"a data folder in which nothing can be recorded", spoilt, "", "cannot be begun; the old one goes on"},
	} {
		at.data, at.settings = c.data, c.settings
		at.write(t)
		refuses(c.what, c.why)
	}
	testhelp.Until(t, "the old one", func() bool { return p.log.Count("msg=recording") == 2 })
	good.write(t)
	write("token", "short\n")
	refuses("a token that became short", "token holds no token")

	port.say("1,12.0,0")
	testhelp.Until(t, "its line in the journal", func() bool {
		_, out, _ := amphora(t, "journal", "export", good.data)
		return out == "1,12.0,0\n"
	})
	p.stop()
}

// Nor does a secret that is missing when the machine starts cost a night: who is to be told will say so, and is
// told once it is there.
func TestASecretThatIsMissingStopsNoRecording(t *testing.T) {
	t.Parallel()
	at, port := newPlace(t), newPort(t)
	posts := make(chan string, 64)
	server := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) { posts <- r.Header.Get("Authorization") }))
	t.Cleanup(server.Close)
	token := filepath.Join(t.TempDir(), "token")
	at.settings = fmt.Sprintf("notify: [{webhook: {url: %q, token-file: %s}}]\n", server.URL, token) +
		"push: [{influx: {url: 'http://127.0.0.1:1', database: a, token-file: " + token + "}}, {mqtt: {broker: 'mqtt://127.0.0.1:1', topic: a, user: u, password-file: " + token + "}}]\n"
	at.channel(t, "bench", port.source())
	p := serve(t, at.config)
	defer p.stop()
	assert.Contains(t, p.log.String(), "the night is recorded, but some who are to be told of it are not")
	assert.Contains(t, p.log.String(), "problems=3")
	status, _, complaint := amphora(t, "check", at.config)
	assert.Equal(t, 2, status, "who looks is told")
	assert.Contains(t, complaint, "3 errors")

	port.say("1,12.0,0")
	testhelp.Until(t, "its line in the journal", func() bool {
		_, out, _ := amphora(t, "journal", "export", at.data)
		return out == "1,12.0,0\n"
	})
	require.NoError(t, os.WriteFile(token, []byte("late\n"), 0o600))
	status, out, _ := amphora(t, "notify", "test", "--config", at.config)
	assert.Equal(t, 0, status, out)
	assert.Equal(t, "Bearer late", <-posts)
}
