package main

import (
	"errors"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/cmd/amphora/config"
	"amphora/cmd/amphora/daemon"

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
	want, tries := &config.Config{}, 0
	next, err := serveOnce(t.Context(), streams{}, cfg, slog.New(slog.NewTextHandler(log, nil)), hangups, func() (*config.Config, error) {
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

// Nothing is recorded behind a page that could not be opened: whoever began it looks at
// the page first.
func TestAnAddressThatCannotBeUsedIsToldBeforeAnythingIsRecorded(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer taken.Close()
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
		{taken.Addr().String(), exitFailed, "say another address with listen: or --listen"},
	} {
		status, _, errOut := amphora(t, "serve", "--config", file, "--data", filepath.Join(dir, "data"), "--listen", c.listen)
		assert.Equal(t, c.status, status, c.listen)
		assert.Contains(t, errOut, c.want)
		assert.NotContains(t, errOut, "msg=recording")
	}
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
