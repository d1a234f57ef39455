//go:build unix

package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/term"
)

// The tests run this very program again as the program under test, on a
// pseudo-terminal of its own.
const asProgram = "AMPHORA_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
		return
	}
	os.Exit(inAnEmptyHome(m))
}

// inAnEmptyHome runs the tests without what the logbook of this user knows.
func inAnEmptyHome(m *testing.M) int {
	dir, err := os.MkdirTemp("", "amphora-test-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	if err := os.Setenv("AMPHORA_DATA", filepath.Join(dir, "data")); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return m.Run()
}

// shown is a running watch and its terminal.
type shown struct {
	cmd    *exec.Cmd
	screen *os.File // the side of the person
	tty    *os.File // the side of the program
	before *term.State
	text   chan string
	all    strings.Builder
	seen   int // what stands before is history
}

func showOn(t *testing.T, width, height int, args ...string) *shown {
	t.Helper()
	screen, tty, err := pty.Open()
	require.NoError(t, err)
	require.NoError(t, pty.Setsize(tty, &pty.Winsize{Cols: uint16(width), Rows: uint16(height)}))
	before, err := term.GetState(int(tty.Fd()))
	require.NoError(t, err)
	s := &shown{screen: screen, tty: tty, before: before, text: make(chan string, 1024)}
	s.cmd = exec.Command(os.Args[0], append([]string{"watch"}, args...)...)
	s.cmd.Env = append(os.Environ(), asProgram+"=1", "TERM=xterm", "LANG=C.UTF-8", "LC_ALL=", "NO_COLOR=")
	s.cmd.Stdin, s.cmd.Stdout, s.cmd.Stderr = tty, tty, tty
	require.NoError(t, s.cmd.Start())
	t.Cleanup(func() {
		_ = s.cmd.Process.Kill()
		screen.Close()
		tty.Close()
	})
	go func() {
		buffer := make([]byte, 64<<10)
		for {
			n, err := screen.Read(buffer)
			if n > 0 {
				s.text <- string(buffer[:n])
			}
			if err != nil {
				close(s.text)
				return
			}
		}
	}()
	return s
}

// until waits for text on the screen.
func (s *shown) until(t *testing.T, text string) {
	t.Helper()
	late := time.After(time.Minute)
	for !strings.Contains(s.all.String()[s.seen:], text) {
		select {
		case more := <-s.text:
			s.all.WriteString(more)
		case <-late:
			t.Fatalf("%q did not come; there was %q", text, s.screenful())
		}
	}
}

// fresh makes history of what was seen.
func (s *shown) fresh() { s.seen = s.all.Len() }

// screenful is what was drawn last.
func (s *shown) screenful() string {
	all := s.all.String()
	return all[max(0, strings.LastIndex(all, home)):]
}

// ended waits for the end, and checks that the terminal is as it was.
func (s *shown) ended(t *testing.T) {
	t.Helper()
	done := make(chan error, 1)
	go func() { done <- s.cmd.Wait() }()
	select {
	case err := <-done:
		require.NoError(t, err, s.all.String())
	case <-time.After(time.Minute):
		t.Fatal("it does not end")
	}
	s.until(t, leave)
	after, err := term.GetState(int(s.tty.Fd()))
	require.NoError(t, err)
	assert.Equal(t, s.before, after, "the settings of the terminal")
	assert.Equal(t, 1, strings.Count(s.all.String(), enter))
}

// nightFile is a made-up night as a log.
func nightFile(t *testing.T) string {
	t.Helper()
	d := demo{night: demoNight}
	night, err := d.find()
	require.NoError(t, err)
	var b bytes.Buffer
	for _, line := range night.Lines() {
		fmt.Fprintln(&b, line)
	}
	file := filepath.Join(t.TempDir(), "night.txt")
	require.NoError(t, os.WriteFile(file, b.Bytes(), 0o600))
	return file
}

func TestWatchLeavesTheTerminalAsItWas(t *testing.T) {
	file := nightFile(t)
	for name, end := range map[string]func(*shown) error{
		"q":       func(s *shown) error { _, err := io.WriteString(s.screen, "q"); return err },
		"Ctrl-C":  func(s *shown) error { _, err := io.WriteString(s.screen, "\x03"); return err },
		"SIGTERM": func(s *shown) error { return s.cmd.Process.Signal(syscall.SIGTERM) },
		"SIGHUP":  func(s *shown) error { return s.cmd.Process.Signal(syscall.SIGHUP) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := showOn(t, 80, 24, file)
			s.until(t, "Ah went in")
			require.NoError(t, end(s))
			s.ended(t)
			s.seen = strings.LastIndex(s.all.String(), leave) // the summary stands on the terminal that was there before
			s.until(t, "  went in")
			assert.NotContains(t, s.all.String()[s.seen:], home)
		})
	}
}

func TestWatchFollowsTheSizeOfTheWindow(t *testing.T) {
	s := showOn(t, 80, 24, "--no-color", nightFile(t))
	s.until(t, "Ah went in")
	require.NoError(t, pty.Setsize(s.tty, &pty.Winsize{Cols: 40, Rows: 12}))
	s.fresh()
	s.until(t, below)
	s.fresh()
	s.until(t, below)
	for _, line := range strings.Split(strings.TrimPrefix(s.screenful(), home), "\r\n") {
		assert.LessOrEqual(t, len([]rune(strings.NewReplacer(wipe, "", below, "").Replace(line))), 40)
	}
	_, err := io.WriteString(s.screen, "q")
	require.NoError(t, err)
	s.ended(t)
}

func TestWatchWithoutATerminalPrintsLinesAndTheSummary(t *testing.T) {
	text, err := os.ReadFile(nightFile(t))
	require.NoError(t, err)
	var out, complaints bytes.Buffer
	code := run(context.Background(), []string{"watch", "-"}, bytes.NewReader(text), &out, &complaints)
	require.Equal(t, exitDone, code, complaints.String())
	assert.Contains(t, out.String(), "The charge was completed")
	assert.NotContains(t, out.String(), "\x1b")

	out.Reset()
	code = run(context.Background(), []string{"watch", "/dev/ttyNoSuchPort"}, strings.NewReader(""), &out, &complaints)
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, complaints.String(), "ttyNoSuchPort")
}

// A log of crossed leads ends with what analyze says of it, and its alarm is on the screen while it is watched.
func TestWatchTellsAnAlarmWithoutACharge(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("time_s,voltage_V,current_A\n")
	for k := range 40 {
		fmt.Fprintf(&rows, "%d,%.3f,0.000\n", 10*k, -3.6+0.003*float64(k%3))
	}
	file := filepath.Join(t.TempDir(), "crossed.csv")
	require.NoError(t, os.WriteFile(file, []byte(rows.String()), 0o600))
	var analysed, watched, complaints bytes.Buffer
	require.Equal(t, exitDone, run(context.Background(), []string{"analyze", file}, strings.NewReader(""), &analysed, &complaints), complaints.String())
	require.Equal(t, exitDone, run(context.Background(), []string{"watch", "--plain", file}, strings.NewReader(""), &watched, &complaints), complaints.String())
	_, alarm, found := strings.Cut(analysed.String(), "alarm, reverse-polarity")
	require.True(t, found)
	assert.Contains(t, watched.String(), alarm)
	assert.NotContains(t, watched.String(), "No charge was seen")

	s := showOn(t, 80, 24, file)
	s.until(t, "The voltage is negative")
	s.until(t, "!! the voltage is negative")
	_, err := io.WriteString(s.screen, "q")
	require.NoError(t, err)
	s.ended(t)
	s.until(t, "alarm, reverse-polarity")
}

// A daemon that is watched goes away, and comes back.
func TestWatchADaemonOverItsRestart(t *testing.T) {
	data, file := t.TempDir(), nightFile(t)
	address := testhelp.FreeAddress(t)
	config := filepath.Join(t.TempDir(), "amphora.yaml")
	require.NoError(t, os.WriteFile(config, []byte("data: "+data+"\nlisten: "+address+"\nchannels:\n  - name: bench\n    source: {file: {path: "+file+"}}\n"), 0o600))
	serveIt := func() (stop func()) {
		ctx, cancel := context.WithCancel(context.Background())
		done := make(chan int)
		go func() {
			done <- run(ctx, []string{"serve", "--config", config}, strings.NewReader(""), io.Discard, io.Discard)
		}()
		return func() { cancel(); <-done }
	}
	stop := serveIt()
	s := showOn(t, 80, 24, "http://"+address, "--channel", "bench")
	s.until(t, "Ah went in")
	stop()
	s.until(t, "cannot be heard")
	stop = serveIt()
	defer stop()
	for strings.Contains(s.screenful(), "cannot be heard") { // until fails where this goes on
		s.fresh()
		s.until(t, home)
		s.until(t, below)
	}
	assert.Contains(t, s.screenful(), "Ah went in")
	_, err := io.WriteString(s.screen, "q")
	require.NoError(t, err)
	s.ended(t)
}
