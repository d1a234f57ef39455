package main

import (
	"context"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"amphora/capture"
	"amphora/capture/journal"
	"amphora/cmd/amphora/config"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What comes over standard input while one configuration takes the place of another is
// recorded, a line that was half there as its halves.
func TestStandardInputGoesOnInAnotherConfiguration(t *testing.T) {
	file, data := filepath.Join(t.TempDir(), "amphora.yaml"), t.TempDir()
	require.NoError(t, os.WriteFile(file, []byte("listen: 127.0.0.1:0\nchannels: [{name: bench, source: {stdin: {}}}]"), 0o600))
	read := func() (*config.Config, error) {
		cfg, problems := config.Load(file)
		require.NotNil(t, cfg, "%v", problems)
		cfg.Data = data
		return cfg, nil
	}
	cfg, err := read()
	require.NoError(t, err)
	in, meter := io.Pipe()
	log, served, hangups := new(testhelp.Log), make(chan error, 1), make(chan os.Signal)
	go func() {
		served <- serveAll(t.Context(), capture.NewInput(in), slog.New(slog.NewTextHandler(log, nil)), hangups, cfg, read)
	}()
	say := func(text string) {
		_, err := io.WriteString(meter, text)
		require.NoError(t, err)
	}
	say("1,12.1\n2,1")
	testhelp.Until(t, "the first line", func() bool { return strings.Contains(recordedLines(t, data), "1,12.1") })
	hangups <- syscall.SIGHUP
	testhelp.Until(t, "another configuration", func() bool { return log.Count("msg=recording") == 2 })
	say("2.1\n3,12.1\n4,12.1\n")
	require.NoError(t, meter.Close())
	require.NoError(t, <-served)
	assert.Equal(t, "1,12.1 2,1(half) 2.1(half) 3,12.1 4,12.1", recordedLines(t, data))
}

// recordedLines are the lines that the journal holds of the bench.
func recordedLines(t *testing.T, data string) string {
	var lines []string
	r, err := journal.NewReader(data, "bench", 1)
	require.NoError(t, err)
	defer r.Close()
	for r.Next() {
		rec := r.Record()
		text := string(rec.Text)
		if rec.Flags&capture.Fragment != 0 {
			text += "(half)"
		}
		if rec.Flags&capture.NotLine == 0 {
			lines = append(lines, text)
		}
	}
	return strings.Join(lines, " ")
}

// Who asks for a stop while the journal is still being told gets one, and no failure.
func TestAStopWhileItBeginsIsNoFailure(t *testing.T) {
	file := filepath.Join(t.TempDir(), "amphora.yaml")
	require.NoError(t, os.WriteFile(file, []byte("listen: 127.0.0.1:0\nchannels: [{name: bench, source: {tcp: {address: '127.0.0.1:1'}}}]"), 0o600))
	cfg, problems := config.Load(file)
	require.NotNil(t, cfg, "%v", problems)
	cfg.Data = t.TempDir()
	canceled, stop := context.WithCancel(t.Context())
	stop()
	log := new(testhelp.Log)
	assert.NoError(t, serveAll(&stopsSoon{Context: canceled}, nil, slog.New(slog.NewTextHandler(log, nil)), make(chan os.Signal), cfg, nil))
	assert.Zero(t, log.Count("msg=recording"))
}

// stopsSoon is a context that has ended when it is looked at for the second time.
type stopsSoon struct {
	context.Context
	looks int
}

func (s *stopsSoon) Err() error {
	if s.looks++; s.looks == 1 {
		return nil
	}
	return s.Context.Err()
}
