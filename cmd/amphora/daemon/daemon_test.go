package daemon

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/dashboards/testhelp"
	"amphora/decoders"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

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

func quiet() *slog.Logger { return slog.New(slog.DiscardHandler) }

// started opens a daemon on one source and runs it; stop ends it cleanly.
func started(t testing.TB, data string, source capture.Source, change ...func(*Config)) (d *Daemon, stop func()) {
	return startedWith(t, data, Settings{Name: "bench", Source: source, Decoder: "auto", Options: analyze.Options{Channel: "bench"}}, change...)
}

// startedWith is started with settings of one's own.
func startedWith(t testing.TB, data string, set Settings, change ...func(*Config)) (d *Daemon, stop func()) {
	c := Config{Data: data, Clock: capture.SystemClock{}, Log: quiet(), Channels: []Settings{set}}
	for _, do := range change {
		do(&c)
	}
	ctx, cancel := context.WithCancel(t.Context())
	d, err := Open(ctx, c)
	require.NoError(t, err)
	done := make(chan error, 1)
	go func() { done <- d.Run(ctx) }()
	return d, func() {
		cancel()
		require.NoError(t, <-done)
		require.NoError(t, d.Close())
	}
}

// untilRead waits until the last row of a night has been understood.
func untilRead(t testing.TB, d *Daemon, n madeup.Night) {
	end := 0.0
	for s := range n.Samples() {
		end = s.At
	}
	testhelp.Until(t, "every line read", func() bool {
		c, ok := d.Hub().Get("bench")
		return ok && c.LastReading != nil && float64(c.LastReading.AtS) >= end-0.5
	})
}

func TestAFileFollowedLiveGivesTheNumbersOfAnalyze(t *testing.T) {
	log := madeup.Named("drill-three-cells").Log()
	file := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(file, log, 0o644))
	want := alone(t, log, analyze.Options{Channel: "bench"})

	data := t.TempDir()
	d, stop := started(t, data, follow(t, capture.File{Path: file}))
	untilRead(t, d, madeup.Named("drill-three-cells"))
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

// A program that is killed right after its start has not written an earlier state of the
// night over what the logbook knew.
func TestReplayTakesNothingFromTheLogbook(t *testing.T) {
	night := madeup.Named("drill-three-cells")
	file := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(file, night.Log(), 0o644))
	data := t.TempDir()
	d, stop := started(t, data, follow(t, capture.File{Path: file}))
	untilRead(t, d, night)
	stop()

	d, stop = started(t, data, follow(t, capture.File{Path: file, FromEnd: true}))
	defer stop()
	written := make(chan struct{})
	d.books.then(func(context.Context) { close(written) })
	<-written
	stored, err := d.Book().Sessions(t.Context(), logbook.Filter{})
	require.NoError(t, err)
	require.Len(t, stored, 1)
	requireSame(t, alone(t, night.Log(), analyze.Options{Channel: "bench"}), stored[0].Summary)
}

// Nor while it is told, by whatever it is stored for.
func TestNothingOfTheNightIsStoredWhileItIsReplayed(t *testing.T) {
	c := &channel{story: newStory(plainLines, analyze.Options{Channel: "bench"}), books: newBookkeeper(nil, quiet())}
	running := analyze.Session{ID: "bench-1", Outcome: analyze.Running}
	c.story.replaying = true
	c.store(&running, false)
	_, _, waits := c.books.take()
	assert.False(t, waits)
	c.story.replaying = false
	c.store(&running, false)
	_, _, waits = c.books.take()
	assert.True(t, waits)
}

// requireSame compares sessions in everything that does not depend on when and
// where they were recorded.
func requireSame(t testing.TB, want, got analyze.Session) {
	t.Helper()
	got.ID, got.Started = want.ID, want.Started
	require.Equal(t, toJSON(t, want), toJSON(t, got))
}

func TestRetellingTheJournalFindsTheSameSessions(t *testing.T) {
	log := madeup.Named("outboard-two-charges").Log()
	file := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(file, log, 0o644))
	data := t.TempDir()
	d, stop := started(t, data, follow(t, capture.File{Path: file}))
	want := alone(t, log, analyze.Options{Channel: "bench"})
	untilRead(t, d, madeup.Named("outboard-two-charges"))
	stop()

	told := retold(t, data, "auto")
	require.Len(t, told, 2)
	requireSame(t, want, told[1].Session)

	reports, err := journal.Verify(data)
	require.NoError(t, err)
	for _, r := range reports {
		require.Empty(t, r.Damage)
	}
}

func TestNothingRunsOnAfterTheStop(t *testing.T) {
	n := madeup.Named("mower-two-hour-timer")
	file := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(file, n.Log(), 0o644))
	before := runtime.NumGoroutine()
	d, stop := started(t, t.TempDir(), follow(t, capture.File{Path: file}))
	untilRead(t, d, n)
	require.Greater(t, runtime.NumGoroutine(), before)
	stop()
	testhelp.Until(t, "no goroutine left over", func() bool { return runtime.NumGoroutine() <= before })
}

// A meter that counts what flows out of the battery is first seen while nothing
// flows. Once the charge shows which way it counts, all is told again rightly, and
// told the same after a restart and from the journal alone.
func TestSignThatOnlyTheChargeShows(t *testing.T) {
	n := madeup.Named("drill-three-cells")
	rows, _ := n.Collect()
	script := &speaker{}
	for _, s := range rows {
		script.lines = append(script.lines, fmt.Sprintf("%.0f;%.3f;%.3f", s.At, s.Volts, -s.Amps))
	}
	data := t.TempDir()
	want := alone(t, []byte(strings.Join(script.lines, "\n")+"\n"), analyze.Options{Channel: "bench"})
	require.Equal(t, analyze.Complete, want.Outcome)
	for _, s := range []*speaker{script, {}} {
		d := recorded(t, data, capture.SystemClock{}, s)
		c, ok := d.Hub().Get("bench")
		require.True(t, ok)
		require.Contains(t, string(c.Decoder), "negate")
		require.NotNil(t, c.Session)
		requireSame(t, want, *c.Session)
		require.NoError(t, d.Close())
	}
	told := retold(t, data, "auto")
	require.Len(t, told, 1)
	requireSame(t, want, told[0].Session)
}

// speaker says one line each time it is read, and ends.
type speaker struct {
	lines []string
	said  int
}

func (s *speaker) Read(p []byte) (int, error) {
	if s.said == len(s.lines) {
		return 0, io.EOF
	}
	s.said++
	return copy(p, s.lines[s.said-1]+"\n"), nil
}

func (*speaker) Close() error   { return nil }
func (*speaker) String() string { return "a meter" }

func TestForecastsLookBackOnSettledNightsOnly(t *testing.T) {
	ctx := t.Context()
	book, err := logbook.Open(ctx, filepath.Join(t.TempDir(), "book.db"))
	require.NoError(t, err)
	defer book.Close()
	s := alone(t, madeup.Named("drill-three-cells").Log(), analyze.Options{Channel: "bench", Battery: "drill"})
	for n, settled := range []bool{true, false} {
		began := time.Date(2026, 3, 14+n, 21, 40, 0, 0, time.UTC)
		s.ID, s.Started = fmt.Sprintf("night-%d", n), &began
		require.NoError(t, book.PutSession(ctx, logbook.Session{Summary: s, JournalFrom: "{}", Settled: settled}))
	}
	nights, err := earlierNights(ctx, book, t.TempDir(), "drill")
	require.NoError(t, err)
	require.Len(t, nights, 1)
	require.InEpsilon(t, float64(s.FinishS-s.StartS), nights[0].Seconds, 1e-9)
	none, err := earlierNights(ctx, book, t.TempDir(), "mower")
	require.NoError(t, err)
	require.Empty(t, none)
}
