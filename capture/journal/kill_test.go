package journal

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"testing"
	"time"

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
	opt := Options{SegmentBytes: 20_000, SyncEvery: 3 * time.Millisecond, Log: (&stderrLog{}).logger()}
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

// stderrLog lets the parent see warnings.
type stderrLog struct{ warnings }

func (l *stderrLog) Write(p []byte) (int, error) { return os.Stderr.Write(p) }

// Kill a writer at random instants, 60 times over one journal: what was reported
// as durable is there, nothing is torn, nothing is there twice.
func TestKilledWriter(t *testing.T) {
	kills := 60
	if testing.Short() {
		kills = 5
	}
	dir := t.TempDir()
	rng := rand.New(rand.NewPCG(11, 12))
	var safe uint64
	for range kills {
		safe = max(safe, runAndKill(t, dir, time.Duration(rng.IntN(25_000))*time.Microsecond))
	}
	r, err := NewReader(dir, testName, 0)
	require.NoError(t, err)
	r.OnDamage = func(d *Damage) { t.Errorf("damage: %v", d) }
	var last uint64
	for r.Next() {
		rec := r.Record()
		last++
		require.Equal(t, last, rec.Seq)
		require.Equal(t, lineFrame(int(last)), rec.Frame)
	}
	require.NoError(t, r.Err())
	require.Zero(t, r.Unfinished())
	require.GreaterOrEqual(t, last, safe)
	require.Positive(t, safe)
}

// runAndKill starts a writer, kills it some time after its first record, and
// returns the last number that it reported as durable.
func runAndKill(t *testing.T, dir string, after time.Duration) (safe uint64) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), writerEnv+"="+dir)
	cmd.Stderr = testWriter{t}
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := bufio.NewScanner(out)
	var killer *time.Timer
	for lines.Scan() {
		if killer == nil {
			killer = time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
		}
		line := lines.Text()
		if line[0] != 's' {
			continue
		}
		if n, err := strconv.ParseUint(line[2:], 10, 64); err == nil {
			safe = n
		}
	}
	require.NotNil(t, killer, "the writer recorded nothing")
	require.Error(t, cmd.Wait(), "it was killed")
	return safe
}

// testWriter fails the test on anything written: the writer warns of torn tails.
type testWriter struct{ t *testing.T }

func (w testWriter) Write(p []byte) (int, error) {
	w.t.Errorf("writer: %s", p)
	return len(p), nil
}

// Reading beside a writer in another process sees whole records only.
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
