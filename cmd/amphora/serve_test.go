package main

import (
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"amphora/cmd/amphora/config"

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
