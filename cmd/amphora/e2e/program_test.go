//go:build linux

package e2e

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// binary is the built program.
var binary string

// long asks for the versions of the tests that take minutes.
var long = os.Getenv("AMPHORA_LONG") != ""

func TestMain(m *testing.M) { os.Exit(buildAndRun(m)) }

// buildOf is the command that builds the program as the tests themselves are built.
func buildOf(file string, flags ...string) *exec.Cmd {
	args := append([]string{"build", "-trimpath", "-o", file}, flags...)
	if raced {
		return exec.Command("go", append(args, "-race", "amphora/cmd/amphora")...)
	}
	build := exec.Command("go", append(args, "amphora/cmd/amphora")...)
	build.Env = append(os.Environ(), "CGO_ENABLED=0") // static, as it is installed
	return build
}

// buildAndRun runs the tests on the program, freshly built.
func buildAndRun(m *testing.M) int {
	dir, err := os.MkdirTemp("", "amphora-e2e-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	binary = filepath.Join(dir, "amphora")
	if out, err := buildOf(binary).CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "building the program: %v\n%s", err, out)
		return 1
	}
	// The tests mostly wait, so more of them may do that at a time than there are
	// processors.
	flag.Parse()
	if err := flag.Set("test.parallel", "8"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return m.Run()
}

// program is one run of it.
type program struct {
	t      testing.TB
	cmd    *exec.Cmd
	page   string       // its address, with a / at the end
	log    testhelp.Log // what it says on standard error
	exited chan struct{}
	err    error // once it has exited
}

// serve starts the daemon and waits until its page is there.
func serve(t testing.TB, config string) *program {
	t.Helper()
	p := launch(t, exec.Command(binary, "serve", "--config", config))
	p.waitForPage()
	return p
}

var pageIn = regexp.MustCompile(`msg=recording .*page=(http://\S+)\s`)

// launch starts a command that is amphora serve, or becomes it.
func launch(t testing.TB, cmd *exec.Cmd) *program {
	t.Helper()
	p := &program{t: t, cmd: cmd, exited: make(chan struct{})}
	cmd.Stderr = &p.log
	require.NoError(t, cmd.Start())
	go func() {
		p.err = cmd.Wait()
		close(p.exited)
	}()
	t.Cleanup(func() {
		if t.Failed() && !p.gone() { // what it waits for, whoever waits for it
			_ = cmd.Process.Signal(syscall.SIGQUIT)
			select {
			case <-p.exited:
			case <-time.After(5 * time.Second):
			}
		}
		p.kill()
		if t.Failed() {
			t.Logf("the program said:\n%s", p.log.String())
		}
	})
	return p
}

func (p *program) waitForPage() {
	p.t.Helper()
	testhelp.Until(p.t, "the page of the program", func() bool {
		found := pageIn.FindStringSubmatch(p.log.String())
		if found != nil {
			p.page = found[1]
		}
		return found != nil || p.gone()
	})
	require.NotEmpty(p.t, p.page, "it ended instead: %s", p.log.String())
}

// newestPage is the page of the present configuration.
func (p *program) newestPage() string {
	pages := pageIn.FindAllStringSubmatch(p.log.String(), -1)
	return pages[len(pages)-1][1]
}

func (p *program) gone() bool {
	select {
	case <-p.exited:
		return true
	default:
		return false
	}
}

// kill ends it at once, as a power cut or an impatient supervisor would.
func (p *program) kill() {
	_ = p.cmd.Process.Kill() // it may have ended by itself
	<-p.exited
}

// stop asks it to end and tells how long that took.
func (p *program) stop() time.Duration {
	p.t.Helper()
	asked := time.Now()
	require.NoError(p.t, p.cmd.Process.Signal(syscall.SIGTERM))
	select {
	case <-p.exited:
	case <-time.After(time.Minute):
		p.t.Fatal("it does not stop")
	}
	require.NoError(p.t, p.err, "exit status 0")
	return time.Since(asked)
}

// promised says how long something took, and holds it to its limit where the machine is
// this test's own: others at work may make it longer by any factor.
func promised(t testing.TB, what string, took, limit time.Duration) {
	t.Helper()
	t.Logf("%s: %v, promised within %v", what, took, limit)
	if long && !raced {
		assert.Less(t, took, limit, what)
	}
}

// amphora runs a command to its end and returns what it printed.
func amphora(t testing.TB, args ...string) (status int, out, said string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, binary, args...)
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	err := cmd.Run()
	if failed, ok := errors.AsType[*exec.ExitError](err); ok {
		return failed.ExitCode(), stdout.String(), stderr.String()
	}
	require.NoError(t, err)
	return 0, stdout.String(), stderr.String()
}

// place is a data folder with a configuration beside it.
type place struct {
	data, config string
	channels     []string
	settings     string // beside the channels
}

func newPlace(t testing.TB) *place {
	dir := t.TempDir()
	return &place{data: filepath.Join(dir, "data"), config: filepath.Join(dir, "amphora.yaml")}
}

// channel adds a channel, with further settings a line each, and writes the
// configuration.
func (w *place) channel(t testing.TB, name, source string, settings ...string) {
	t.Helper()
	text := fmt.Sprintf("  - name: %s\n    source: {%s}\n", name, source)
	for _, s := range settings {
		text += "    " + s + "\n"
	}
	w.channels = append(w.channels, text)
	w.write(t)
}

func (w *place) write(t testing.TB) {
	t.Helper()
	text := fmt.Sprintf("data: %s\nlisten: 127.0.0.1:0\nchannels:\n%s%s", w.data, strings.Join(w.channels, ""), w.settings)
	require.NoError(t, os.WriteFile(w.config, []byte(text), 0o600))
}
