package daemon

import (
	"context"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/decoders"

	"github.com/stretchr/testify/require"
)

// night is one of the made-up nights.
func night(t testing.TB, name string) madeup.Night {
	for _, n := range madeup.Nights() {
		if n.Name == name {
			return n
		}
	}
	t.Fatalf("no made-up night is called %q", name)
	return madeup.Night{}
}

// alone analyses lines as amphora analyze would.
func alone(t testing.TB, log []byte, o analyze.Options) analyze.Session {
	var s capture.Splitter
	var lines [][]byte
	s.Feed(log, func(l []byte, _ capture.Flags) { lines = append(lines, append([]byte(nil), l...)) })
	fitted, err := decoders.Fit(lines[:min(len(lines), 4000)], decoders.Options{})
	require.NoError(t, err)
	stream, err := decoders.NewStream(fitted.Layout)
	require.NoError(t, err)
	m := analyze.New(o)
	for _, l := range lines {
		sample, err := stream.Line(l, analyze.Unknown(), 0)
		if err != nil {
			if r := err.(*decoders.Refusal); r.Row() {
				m.Refuse(sample, r.Error())
			}
			continue
		}
		m.Step(sample)
	}
	d := m.Document()
	return d.Sessions[len(d.Sessions)-1]
}

func follow(t testing.TB, f capture.File) capture.Source {
	s, err := f.Source()
	require.NoError(t, err)
	return s
}

func quiet() *slog.Logger { return slog.New(slog.NewTextHandler(io.Discard, nil)) }

// started opens a daemon on one source and runs it; stop ends it cleanly.
func started(t testing.TB, data string, source capture.Source) (d *Daemon, stop func()) {
	return startedWith(t, data, Settings{Name: "bench", Source: source, Decoder: "auto", Options: analyze.Options{Channel: "bench"}})
}

// startedWith is started with settings of one's own.
func startedWith(t testing.TB, data string, set Settings) (d *Daemon, stop func()) {
	ctx, cancel := context.WithCancel(t.Context())
	d, err := Open(ctx, Config{
		Data: data, Clock: capture.SystemClock{}, Log: quiet(),
		Channels: []Settings{set},
	})
	require.NoError(t, err)
	done := make(chan error, 1)
	go func() { done <- d.Run(ctx) }()
	return d, func() {
		cancel()
		require.NoError(t, <-done)
		require.NoError(t, d.Close())
	}
}

// until waits for something to become true, a minute at most.
func until(t testing.TB, what string, true func() bool) {
	for range 6000 {
		if true() {
			return
		}
		time.Sleep(10 * time.Millisecond) // the other side is a real process or kernel
	}
	t.Fatalf("in vain waited for: %s", what)
}

// untilRead waits until the last row of a night has been understood.
func untilRead(t testing.TB, d *Daemon, n madeup.Night) {
	end := 0.0
	for s := range n.Samples() {
		end = s.At
	}
	until(t, "every line read", func() bool {
		c, ok := d.Hub().Get("bench")
		return ok && c.LastReading != nil && float64(c.LastReading.AtS) >= end-0.5
	})
}

func TestAFileFollowedLiveGivesTheNumbersOfAnalyze(t *testing.T) {
	log := night(t, "drill-three-cells").Log()
	file := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(file, log, 0o644))
	want := alone(t, log, analyze.Options{Channel: "bench"})

	data := t.TempDir()
	d, stop := started(t, data, follow(t, capture.File{Path: file}))
	untilRead(t, d, night(t, "drill-three-cells"))
	stop()

	d, stop = started(t, data, follow(t, capture.File{Path: file, FromEnd: true}))
	defer stop()
	c, ok := d.Hub().Get("bench")
	require.True(t, ok)
	require.NotNil(t, c.Session, "the replay must bring the session back")
	requireSame(t, want, *c.Session)

	stored, err := d.Book().Session(t.Context(), c.Session.ID)
	require.NoError(t, err)
	requireSame(t, want, stored.Summary)
	points, err := d.Samples(t.Context(), c.Session.ID)
	require.NoError(t, err)
	require.Greater(t, len(points), 1000)
}

// requireSame compares sessions in everything that does not depend on when and
// where they were recorded.
func requireSame(t testing.TB, want, got analyze.Session) {
	t.Helper()
	got.ID, got.Started = want.ID, want.Started
	require.Equal(t, toJSON(t, want), toJSON(t, got))
}

func TestRetellingTheJournalFindsTheSameSessions(t *testing.T) {
	log := night(t, "outboard-two-charges").Log()
	file := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(file, log, 0o644))
	data := t.TempDir()
	d, stop := started(t, data, follow(t, capture.File{Path: file}))
	want := alone(t, log, analyze.Options{Channel: "bench"})
	untilRead(t, d, night(t, "outboard-two-charges"))
	stop()

	told, err := Retell(t.Context(), data, "bench", "auto", analyze.Options{})
	require.NoError(t, err)
	require.Len(t, told, 2)
	requireSame(t, want, told[1].Session)

	reports, err := journal.Verify(data)
	require.NoError(t, err)
	for _, r := range reports {
		require.Empty(t, r.Damage)
	}
}

func TestNothingRunsOnAfterTheStop(t *testing.T) {
	n := night(t, "mower-two-hour-timer")
	file := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(file, n.Log(), 0o644))
	before := runtime.NumGoroutine()
	d, stop := started(t, t.TempDir(), follow(t, capture.File{Path: file}))
	untilRead(t, d, n)
	require.Greater(t, runtime.NumGoroutine(), before)
	stop()
	until(t, "no goroutine left over", func() bool { return runtime.NumGoroutine() <= before })
}
