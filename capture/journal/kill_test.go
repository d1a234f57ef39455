package journal

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// writerEnv makes the test's own program the writer that gets killed.
const writerEnv = "AMPHORA_JOURNAL_WRITER"

func TestMain(m *testing.M) {
	if dir := os.Getenv(writerEnv); dir != "" {
		writeUntilKilled(dir)
		return
	}
	os.Exit(m.Run())
}

// writeUntilKilled appends lines without end and prints numbers: "a" once a
// record was appended, "s" once it was reported as durable.
func writeUntilKilled(dir string) {
	opt := Options{SegmentBytes: 20_000, SyncEvery: 3 * time.Millisecond, Log: slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))}
	j, err := Open(dir, opt)
	if err != nil {
		panic(err)
	}
	c, err := j.Channel(testName, 0)
	if err != nil {
		panic(err)
	}
	for {
		seq := c.Append(lineFrame(int(c.Health().Next)))
		fmt.Printf("a %d\n", seq)
		if seq%50 == 0 {
			if err := c.Sync(context.Background()); err != nil {
				panic(err)
			}
			fmt.Printf("s %d\n", seq)
		}
	}
}

// Kill a writer at random instants, 60 times over one journal: what was reported
// as durable is there, nothing is there twice, and each torn tail (a kill may
// cut one write in two where it crosses a page) is warned of once and costs one
// record that nobody was told is safe.
func TestKilledWriter(t *testing.T) {
	kills := 60
	if testing.Short() {
		kills = 5
	}
	dir := t.TempDir()
	rng := rand.New(rand.NewPCG(11, 12))
	var w testhelp.Log
	safe := map[uint64]bool{}
	for range kills {
		runAndKill(t, dir, time.Duration(rng.IntN(25_000))*time.Microsecond, &w, safe)
	}
	j, err := Open(dir, Options{Log: w.Logger(slog.LevelWarn)})
	require.NoError(t, err)
	_, err = j.Channel(testName, 0)
	require.NoError(t, err)
	closeJournal(t, j)

	r, err := NewReader(dir, testName, 0)
	require.NoError(t, err)
	torn := 0
	r.OnDamage = func(d *Damage) {
		torn++
		assert.ErrorIs(t, d, ErrMissing)
		assert.EqualValues(t, 1, d.Lost)
		assert.False(t, safe[d.First], "record %d was reported as durable", d.First)
	}
	var last uint64
	for r.Next() {
		rec := r.Record()
		require.Greater(t, rec.Seq, last)
		last = rec.Seq
		require.Equal(t, lineFrame(int(last)), rec.Frame)
		delete(safe, last)
	}
	require.NoError(t, r.Err())
	require.Zero(t, r.Unfinished())
	require.Empty(t, safe, "records reported as durable")
	// A tail torn at the very end has no later record to tell of it.
	require.InDelta(t, torn, w.Count("set aside"), 1)
	require.Equal(t, w.Count("set aside"), w.Count(""))
	t.Logf("%d kills, %d records, %d torn tails", kills, last, w.Count("set aside"))
}

// runAndKill starts a writer, kills it some time after its first record, and adds
// the numbers that it reported as durable to safe.
func runAndKill(t *testing.T, dir string, after time.Duration, stderr io.Writer, safe map[uint64]bool) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), writerEnv+"="+dir)
	cmd.Stderr = stderr
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := bufio.NewScanner(out)
	var killer *time.Timer
	var appended []uint64
	for lines.Scan() {
		if killer == nil {
			killer = time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
		}
		kind, number, _ := strings.Cut(lines.Text(), " ")
		n, err := strconv.ParseUint(number, 10, 64)
		if err != nil {
			continue // the kill cut it short
		}
		if kind == "a" {
			appended = append(appended, n)
			continue
		}
		for _, a := range appended {
			safe[a] = true
		}
		appended = nil
	}
	require.NotNil(t, killer, "the writer recorded nothing")
	require.Error(t, cmd.Wait(), "it was killed")
}

// Reading beside a writer, and a compressor, sees whole records only.
func TestReadingBesideAWriter(t *testing.T) {
	dir := t.TempDir()
	stop := time.Now().Add(300 * time.Millisecond)
	j, err := Open(dir, Options{SegmentBytes: 50_000, Log: quiet()})
	require.NoError(t, err)
	c, err := j.Channel(testName, 0)
	require.NoError(t, err)
	done := make(chan struct{})
	go func() {
		defer close(done)
		for i := 1; time.Now().Before(stop); i++ {
			c.Append(lineFrame(i))
			if i%100 == 0 {
				_ = c.Sync(context.Background())
			}
		}
	}()
	for last := uint64(0); ; {
		r, err := NewReader(dir, testName, 0)
		require.NoError(t, err)
		r.OnDamage = func(d *Damage) { t.Errorf("damage: %v", d) }
		want := uint64(0)
		for r.Next() {
			want++
			require.Equal(t, want, r.Record().Seq)
		}
		require.NoError(t, r.Err())
		require.GreaterOrEqual(t, want, last)
		last = want
		require.NoError(t, j.Compress(context.Background()))
		select {
		case <-done:
			closeJournal(t, j)
			return
		default:
		}
	}
}
