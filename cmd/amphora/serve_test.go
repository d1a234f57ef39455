package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture"
	"amphora/cmd/amphora/config"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/testhelp"
	"amphora/dashboards/web"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTheConfigurationThatWasCheckedIsTheOneThatRuns: whoever is in the middle of
// writing the file stops nothing.
func TestTheConfigurationThatWasCheckedIsTheOneThatRuns(t *testing.T) {
	file := filepath.Join(t.TempDir(), "amphora.yaml")
	require.NoError(t, os.WriteFile(file, []byte("listen: 127.0.0.1:0\nchannels: [{name: bench, source: {tcp: {address: '127.0.0.1:1'}}}]"), 0o600))
	cfg, problems := config.Load(file)
	require.NotNil(t, cfg, "%v", problems)
	cfg.Data = t.TempDir()

	log := new(strings.Builder)
	hangups := make(chan os.Signal, 2)
	hangups <- syscall.SIGHUP
	hangups <- syscall.SIGHUP
	want, tries := &config.Config{Data: cfg.Data, Listen: cfg.Listen}, 0
	h, err := begin(t.Context(), nil, cfg, slog.New(slog.DiscardHandler))
	require.NoError(t, err)
	next, err := serveOnce(t.Context(), nil, h, cfg, slog.New(slog.NewTextHandler(log, nil)), hangups, func() (*config.Config, error) {
		if tries++; tries == 1 {
			return nil, errors.New("half a file")
		}
		return want, nil
	})
	require.NoError(t, err)
	assert.Same(t, want, next)
	assert.Equal(t, 2, tries)
	assert.Contains(t, log.String(), "the new configuration is not sound; the old one stays")
}

// An address that can never be one is told before anything is recorded.
func TestAnAddressThatCannotBeUsedIsToldBeforeAnythingIsRecorded(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "amphora.yaml")
	require.NoError(t, os.WriteFile(file, []byte("channels: [{name: bench, source: {tcp: {address: '127.0.0.1:1'}}}]"), 0o600))
	for _, c := range []struct {
		listen string
		status int
		want   string
	}{
		{"9724", exitUsage, `--listen: "9724" is not host:port, want text like 127.0.0.1:9724`},
		{"0.0.0.0:0", exitUsage, "--listen: 0.0.0.0:0 can be reached from other machines, so access: with token-file: or users-file: is needed"},
		{"127.0.0.1:99999", exitUsage, "--listen"},
	} {
		status, _, errOut := amphora(t, "serve", "--config", file, "--data", filepath.Join(dir, "data"), "--listen", c.listen)
		assert.Equal(t, c.status, status, c.listen)
		assert.Contains(t, errOut, c.want)
		assert.NotContains(t, errOut, "msg=recording")
	}
}

// A night is recorded also where another program holds the page's address; the page comes
// once that is free.
func TestAPageThatCannotBeOpenedStopsNoRecording(t *testing.T) {
	t.Parallel()
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	meter, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer meter.Close()
	code, _, complaint := amphora(t, "demo", "--listen", taken.Addr().String())
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, complaint, "say another address with --listen")

	file := filepath.Join(t.TempDir(), "amphora.yaml")
	require.NoError(t, os.WriteFile(file, []byte(fmt.Sprintf("listen: %s\nchannels: [{name: bench, source: {tcp: {address: '%s'}}}]", taken.Addr(), meter.Addr())), 0o600))
	cfg, problems := config.Load(file)
	require.NotNil(t, cfg, "%v", problems)
	cfg.Data = t.TempDir()
	ctx, stop := context.WithCancel(t.Context())
	log, served := new(testhelp.Log), make(chan error, 1)
	go func() {
		served <- serveAll(ctx, nil, slog.New(slog.NewTextHandler(log, nil)), make(chan os.Signal), cfg, func() (*config.Config, error) { return cfg, nil })
	}()
	_, err = meter.Accept()
	require.NoError(t, err, "it is listened to")
	testhelp.Until(t, "that the page cannot be opened", func() bool { return strings.Contains(log.String(), "the page cannot be opened") })
	assert.Contains(t, log.String(), "address already in use", "why")
	require.NoError(t, taken.Close())
	testhelp.Until(t, "the page", func() bool {
		answer, err := http.Get("http://" + taken.Addr().String() + "/-/healthy")
		if err != nil {
			return false
		}
		answer.Body.Close()
		return answer.StatusCode == http.StatusOK
	})
	stop()
	require.NoError(t, <-served)
	assert.Contains(t, log.String(), "the page is open")
}

// A page that goes in the night is told of in the night.
func TestAPageThatIsGoneIsTold(t *testing.T) {
	log := new(testhelp.Log)
	source, err := capture.TCP{Address: testhelp.FreeAddress(t)}.Source()
	require.NoError(t, err)
	h, err := openHouse(t.Context(), daemon.Config{
		Data: t.TempDir(), Clock: capture.SystemClock{}, Log: slog.New(slog.DiscardHandler),
		Channels: []daemon.Settings{{Name: "bench", Source: source, Decoder: "auto"}},
	}, "127.0.0.1:0", web.Access{}, log.Logger(slog.LevelWarn))
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	ran := make(chan error, 1)
	go func() { ran <- h.run(ctx) }()
	require.NoError(t, h.listener.Close())
	testhelp.Until(t, "word of it", func() bool { return log.Count("the page is gone until the next start") == 1 })
	stop()
	assert.ErrorIs(t, <-ran, net.ErrClosed)
	require.NoError(t, h.close())
}

func TestABatteryThatIsNotInTheLogbookIsTold(t *testing.T) {
	dir := newData(t)
	book, err := logbook.Open(t.Context(), daemon.BookFile(dir))
	require.NoError(t, err)
	defer book.Close()
	var cfg config.Config
	for _, battery := range []string{"mower", "mowr", ""} {
		cfg.Channels = append(cfg.Channels, config.Channel{Name: "of " + battery, Options: analyze.Options{Battery: battery}})
	}
	log := new(strings.Builder)
	tellUnknown(t.Context(), &cfg, book, slog.New(slog.NewTextHandler(log, nil)))
	assert.Equal(t, 1, strings.Count(log.String(), "\n"), log.String())
	assert.Contains(t, log.String(), `channel="of mowr" battery=mowr`)
}

// What is served on all addresses is told by a name that another machine can open, too.
func TestThePagesAddressCanBeOpened(t *testing.T) {
	name, err := os.Hostname()
	require.NoError(t, err)
	for _, c := range []struct{ at, want string }{
		{"0.0.0.0:9724", name + ":9724"}, {"[::]:9724", name + ":9724"},
		{"127.0.0.1:9724", "127.0.0.1:9724"}, {"[::1]:9724", "[::1]:9724"}, {"192.0.2.7:80", "192.0.2.7:80"},
	} {
		at, err := net.ResolveTCPAddr("tcp", c.at)
		require.NoError(t, err)
		assert.Equal(t, c.want, reachable(at), c.at)
	}
}
