//go:build linux

package browser

import (
	"cmp"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"

	"amphora/analyze/logbook"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// place is a data folder with a configuration beside it.
type place struct {
	data, config string
	listen       string
	channels     []string
	program      string   // that is run; empty: as it is installed
	env          []string // beside that of the tests
}

func newPlace(t testing.TB) *place {
	needBrowser(t)
	dir := t.TempDir()
	return &place{data: filepath.Join(dir, "data"), config: filepath.Join(dir, "amphora.yaml"), listen: "127.0.0.1:0"}
}

// channel adds a channel that listens to a meter, with further settings a line each.
func (w *place) channel(name string, m *meter, settings ...string) {
	text := fmt.Sprintf("  - name: %q\n    source: {%s}\n", name, m.source())
	for _, s := range settings {
		text += "    " + s + "\n"
	}
	w.channels = append(w.channels, text)
}

// fill writes into the logbook before the program is started.
func (w *place) fill(t testing.TB, write func(*logbook.Book)) {
	t.Helper()
	require.NoError(t, os.MkdirAll(w.data, 0o750))
	book, err := logbook.Open(t.Context(), filepath.Join(w.data, "logbook.db"))
	require.NoError(t, err)
	write(book)
	require.NoError(t, book.Close())
}

// program is one run of amphora.
type program struct {
	t      testing.TB
	cmd    *exec.Cmd
	page   string // its address, with a / at the end
	log    testhelp.Log
	exited chan struct{}
}

var pageIn = regexp.MustCompile(`msg=recording .*page=(http://\S+)\s`)

// serve starts the daemon and waits until its page is there. Started again, it is at
// the same address.
func (w *place) serve(t testing.TB) *program {
	t.Helper()
	channels := " []\n"
	if len(w.channels) > 0 {
		channels = "\n" + strings.Join(w.channels, "")
	}
	require.NoError(t, os.WriteFile(w.config, []byte(fmt.Sprintf("data: %s\nlisten: %s\nchannels:%s", w.data, w.listen, channels)), 0o600))
	p := &program{t: t, cmd: exec.Command(cmp.Or(w.program, binary), "serve", "--config", w.config), exited: make(chan struct{})}
	p.cmd.Env = append(os.Environ(), w.env...)
	p.cmd.Stderr = &p.log
	require.NoError(t, p.cmd.Start())
	go func() {
		_ = p.cmd.Wait() // a killed one has no good status
		close(p.exited)
	}()
	t.Cleanup(func() {
		_ = p.cmd.Process.Kill() // it may have ended by itself
		<-p.exited
		if t.Failed() {
			t.Logf("the program said:\n%s", p.log.String())
		}
	})
	testhelp.Until(t, "the page of the program", func() bool {
		if found := pageIn.FindStringSubmatch(p.log.String()); found != nil {
			p.page = found[1]
		}
		return p.page != ""
	})
	w.listen = strings.Trim(strings.TrimPrefix(p.page, "http://"), "/")
	return p
}

// stop ends the program as a supervisor does.
func (p *program) stop() {
	p.t.Helper()
	require.NoError(p.t, p.cmd.Process.Signal(syscall.SIGTERM))
	<-p.exited
}

// fetch reads a document of the interface.
func (p *program) fetch(path string, into any) {
	p.t.Helper()
	answer, err := http.Get(p.page + path)
	require.NoError(p.t, err)
	defer answer.Body.Close()
	require.Equal(p.t, http.StatusOK, answer.StatusCode, path)
	require.NoError(p.t, json.NewDecoder(answer.Body).Decode(into))
}

// view is how a channel stands.
func (p *program) view(channel string) (c live.Channel) {
	p.t.Helper()
	p.fetch("api/v1/channels/"+channel, &c)
	return c
}

// untilHeard waits until a channel has read so many rows, and its summary knows of
// the time of the last of them.
func (p *program) untilHeard(channel string, m *meter) {
	p.t.Helper()
	testhelp.Until(p.t, channel+" has heard all of it", func() bool {
		c := p.view(channel)
		return c.LastReading != nil && float64(c.LastReading.AtS) >= m.said-1 && c.Session != nil &&
			len(c.Session.Stages) > 0 && float64(c.Session.Stages[len(c.Session.Stages)-1].EndS) >= m.said-61
	})
}
