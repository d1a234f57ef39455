package main

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/notify"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func notifyConfig(t *testing.T, section string) string {
	file := filepath.Join(t.TempDir(), "amphora.yaml")
	require.NoError(t, os.WriteFile(file, []byte("channels: [{name: bench, source: {stdin: {}}}]\n"+section), 0o600))
	return file
}

func TestNotifyTestTellsWhatBecameOfEach(t *testing.T) {
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/canary" {
			w.WriteHeader(http.StatusForbidden)
		}
	}))
	defer s.Close()
	well := fmt.Sprintf("notify:\n- webhook: {url: %q}\n- command: [\"true\", \"{{.Title}}\"]\n", s.URL)
	out := done(t, "notify", "test", "--config", notifyConfig(t, well))
	assert.Regexp(t, `^webhook 127\.0\.0\.1:\d+: delivered, took \d\.\d s\ncommand true: delivered, took`, out)

	code, out, errOut := amphora(t, "notify", "test", "--config", notifyConfig(t, well+fmt.Sprintf("- webhook: {url: %q}\n", s.URL+"/canary")))
	assert.Equal(t, exitFailed, code)
	assert.Regexp(t, `(?m)^webhook 127\.0\.0\.1:\d+ 2: failed: refused: it answers 403 Forbidden`, out, "it is told from the first of that host")
	assert.Contains(t, errOut, "1 of 3 did not get through")
	assert.NotContains(t, out+errOut, "canary")

	code, _, errOut = amphora(t, "notify", "test", "--config", notifyConfig(t, ""))
	assert.Equal(t, exitUsage, code)
	assert.Contains(t, errOut, "names nobody under notify:")
}

func TestNotifyAck(t *testing.T) {
	data := t.TempDir()
	code, _, errOut := amphora(t, "notify", "ack", "--data", data)
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, errOut, "has a daemon with notify: run on this data folder?")

	c := notify.Open(notify.Options{Dir: daemon.NotifyDir(data), Targets: []notify.Target{&notify.Webhook{URL: "http://127.0.0.1:1/"}}})
	c.Tell(notify.Batch{Channel: "bench", Seq: 1, Events: []notify.Event{{Kind: notify.Raised, Channel: "bench", Episode: "1", Code: "over-temperature", Severity: analyze.Alarm, At: time.Now()}}})
	c.Close()
	code, _, errOut = amphora(t, "notify", "ack", "--data", data, "--channel", "shed")
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, errOut, "no alarm holds")
	assert.Contains(t, done(t, "notify", "ack", "--data", data), "acknowledged: bench, over-temperature, since ")
}
