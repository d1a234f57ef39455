package logbook

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// The test binary runs itself as the other processes that use the book.
const roleVariable, pathVariable = "LOGBOOK_TEST_ROLE", "LOGBOOK_TEST_PATH"

func TestMain(m *testing.M) {
	role := map[string]func(context.Context, *Book) error{"writer": keepWriting, "reader": keepReading}[os.Getenv(roleVariable)]
	if role == nil {
		os.Exit(m.Run())
	}
	// Nobody else writes as these do, without a pause, and whose turn it is is left to chance.
	book, err := open(context.Background(), os.Getenv(pathVariable), time.Minute)
	if err == nil {
		err = role(context.Background(), book)
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// turn waits for a byte on standard input, by which the test sets how much is
// done; it fails when the test is gone.
func turn() error {
	_, err := os.Stdin.Read(make([]byte, 1))
	return err
}

// keepWriting says on standard output what has been promised to be kept.
func keepWriting(ctx context.Context, book *Book) error {
	me := fmt.Sprint(os.Getpid())
	for n := 1; ; n++ {
		if err := turn(); err != nil {
			return err
		}
		r, err := book.AddReading(ctx, Reading{Battery: "mower", At: evening.Add(time.Duration(n) * time.Millisecond), Volts: new(12.7), Remark: Text(me)})
		if err != nil {
			return err
		}
		fmt.Println("reading", r.ID, me)
		if err := book.PutSession(ctx, revision(me, n)); err != nil {
			return err
		}
		fmt.Println("session", me, n)
	}
}

// revision is the n-th form of a running session: the summary and the place in
// the raw record both name n.
func revision(id string, n int) Session {
	s := charge(1)
	s.Summary.ID, s.Summary.ChargeInAh, s.Summary.Outcome = id, analyze.Number(n), analyze.Running
	s.JournalFrom, s.Settled = fmt.Sprint(n), false
	return s
}

// keepReading fails if it ever sees half a change.
func keepReading(ctx context.Context, book *Book) error {
	for seen := 0; ; {
		if err := turn(); err != nil {
			return err
		}
		readings, err := book.Readings(ctx, "mower")
		if err != nil {
			return err
		}
		if len(readings) < seen {
			return fmt.Errorf("saw %d readings, then %d", seen, len(readings))
		}
		seen = len(readings)
		sessions, err := book.sessions(ctx, "")
		if err != nil {
			return err
		}
		for _, s := range sessions {
			if fmt.Sprint(float64(s.Summary.ChargeInAh)) != s.JournalFrom {
				return fmt.Errorf("session %s: charge %v with place %s", s.Summary.ID, s.Summary.ChargeInAh, s.JournalFrom)
			}
		}
		fmt.Println("read", seen)
	}
}

// process is another process. Its lines are taken off at once, so that it never
// waits for us.
type process struct {
	cmd   *exec.Cmd
	turns io.Writer
	lines chan string
	fault *strings.Builder
}

func start(t *testing.T, role, path string) *process {
	p := &process{cmd: exec.Command(os.Args[0]), lines: make(chan string, 10_000), fault: &strings.Builder{}}
	p.cmd.Env = append(os.Environ(), roleVariable+"="+role, pathVariable+"="+path)
	p.cmd.Stderr = p.fault
	out, err := p.cmd.StdoutPipe()
	require.NoError(t, err)
	p.turns, err = p.cmd.StdinPipe()
	require.NoError(t, err)
	require.NoError(t, p.cmd.Start())
	go func() {
		defer close(p.lines)
		for from := bufio.NewScanner(out); from.Scan(); {
			p.lines <- from.Text()
		}
	}()
	return p
}

// do lets the process do its work n times.
func (p *process) do(t *testing.T, n int) {
	_, err := p.turns.Write(make([]byte, n))
	require.NoError(t, err, p.fault)
}

// kill ends the process without warning and returns what it had still said. It
// must have been alive until then.
func (p *process) kill(t *testing.T) []string {
	require.NoError(t, p.cmd.Process.Kill())
	var rest []string
	for line := range p.lines {
		rest = append(rest, line)
	}
	assert.ErrorContains(t, p.cmd.Wait(), "signal: killed", p.fault.String())
	return rest
}

// Two processes write while a third reads, and one of the writers is killed a
// hundred times at any moment: whatever a writer said it had kept is there, no
// session is half revised, and the file is sound.
func TestKilledWritersLoseNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	book := openBook(t, path)
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	reader, steady := start(t, "reader", path), start(t, "writer", path)

	random := rand.New(rand.NewPCG(1, 2))
	var promised []string
	next := start(t, "writer", path)
	for round := range 100 {
		victim := next
		next = start(t, "writer", path) // it comes up while the other one writes
		reader.do(t, 1)
		steady.do(t, 4)
		victim.do(t, 1000)
		for range 1 + random.IntN(8) {
			line, alive := <-victim.lines
			require.True(t, alive, "%s", victim.fault)
			promised = append(promised, line)
		}
		promised = append(promised, victim.kill(t)...)
		if round%10 == 9 {
			require.NoError(t, soundness(t.Context(), book.read, "PRAGMA integrity_check"))
		}
	}
	next.kill(t)
	promised = append(promised, steady.kill(t)...)
	assert.NotEmpty(t, reader.kill(t))

	assertKept(t, book, promised)
	t.Logf("%d promises kept", len(promised))
}

// assertKept compares the book with "reading ID WRITER" and "session ID REVISION".
func assertKept(t *testing.T, book *Book, promised []string) {
	readings, err := book.Readings(t.Context(), "mower")
	require.NoError(t, err)
	writer := map[string]string{}
	for _, r := range readings {
		writer[r.ID] = string(r.Remark)
	}
	sessions, err := book.sessions(t.Context(), "")
	require.NoError(t, err)
	latest := map[string]float64{}
	for _, s := range sessions {
		latest[s.Summary.ID] = float64(s.Summary.ChargeInAh)
		assert.Equal(t, fmt.Sprint(latest[s.Summary.ID]), s.JournalFrom)
	}
	for _, line := range promised {
		var kind, id, rest string
		_, err := fmt.Sscan(line, &kind, &id, &rest)
		require.NoError(t, err, line)
		if kind == "reading" {
			assert.Equal(t, rest, writer[id], line)
			continue
		}
		revision, err := strconv.ParseFloat(rest, 64)
		require.NoError(t, err, line)
		assert.GreaterOrEqual(t, latest[id], revision, line)
	}
}
