package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/testhelp"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const mowerLog = "../../testdata/mower-full.log"

// amphora runs the program.
func amphora(t *testing.T, args ...string) (code int, out, errOut string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(t.Context(), args, strings.NewReader(""), &o, &e)
	return code, o.String(), e.String()
}

// done runs the program, which must succeed, and returns its result.
func done(t *testing.T, args ...string) string {
	t.Helper()
	code, out, errOut := amphora(t, args...)
	require.Equal(t, exitDone, code, "%v: %s", args, errOut)
	assert.Empty(t, errOut, "%v", args)
	return out
}

// doneJSON is done for a result in JSON.
func doneJSON[T any](t *testing.T, args ...string) (v T) {
	t.Helper()
	require.NoError(t, json.Unmarshal([]byte(done(t, append(args, "--json")...)), &v))
	return v
}

// golden compares a page with the one kept beside the tests.
func golden(t *testing.T, name, got string) {
	t.Helper()
	testhelp.Golden(t, filepath.Join("testdata", name+".golden"), got)
}

// morning is when the pages of these tests are looked at.
var morning = time.Date(2026, 3, 15, 8, 0, 0, 0, time.UTC)

// newData is a data folder with two batteries, two readings and a charge.
func newData(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	done(t, "battery", "add", "mower", "--data", dir, "--chemistry", "lead-agm", "--cells", "6", "--capacity", "17Ah", "--rated-hours", "20", "--bought", "2025-04", "--where", "the shed")
	done(t, "battery", "add", "car", "--data", dir, "--chemistry", "lead-flooded", "--reserve-minutes", "85")
	done(t, "reading", "add", "mower", "--data", dir, "--volts", "12.73V", "--ohm", "29mohm", "--at", "2026-03-14T09:30:00Z", "--remark", "20 h after a charge")
	done(t, "reading", "add", "mower", "--data", dir, "--celsius", "50F", "--at", "2026-03-01T07:59:00Z")

	book, err := logbook.Open(t.Context(), daemon.BookFile(dir))
	require.NoError(t, err)
	require.NoError(t, book.PutSession(t.Context(), logbook.Session{Summary: recorded(t), Settled: true}))
	require.NoError(t, book.Close())
	done(t, "session", "annotate", recorded(t).ID, "the", "fan ran", "--data", dir, "--at", "2026-03-15T07:00:00Z")
	return dir
}

// recorded is a charge as the daemon would have stored it.
func recorded(t *testing.T) analyze.Session {
	t.Helper()
	d, _, err := readLog(mowerLog, nil, logOptions{analyze: analyze.Options{Channel: "bench", Battery: "mower"}})
	require.NoError(t, err)
	s := d.Sessions[0]
	s.Started = new(time.Date(2026, 3, 13, 21, 40, 0, 0, time.UTC))
	return s
}

// commands are all of them, the root first.
func commands(c *cobra.Command) []*cobra.Command {
	all := []*cobra.Command{c}
	for _, sub := range c.Commands() {
		all = append(all, commands(sub)...)
	}
	return all
}

func TestEveryCommandExplainsItself(t *testing.T) {
	for _, c := range commands(rootCommand(streams{})) {
		assert.NotEmpty(t, c.Short, c.CommandPath())
		assert.Contains(t, c.Example, "amphora", c.CommandPath())
		args := append(strings.Fields(c.CommandPath())[1:], "--help")
		assert.Contains(t, done(t, args...), "Examples:\n", c.CommandPath())
	}
}

func TestWrongUse(t *testing.T) {
	dir := newData(t)
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"batery"}, `there is no command "batery" in amphora; did you mean battery?`},
		{[]string{"version"}, `there is no command "version" in amphora; amphora --version tells it`},
		{[]string{"help", "analyse"}, `there is no command "analyse" in amphora; did you mean analyze?`},
		{[]string{"help", "journal", "burn"}, `there is no command "burn" in amphora journal`},
		{[]string{"battery"}, "amphora battery does nothing alone; it has add, edit, list, remove, retire, show"},
		{[]string{"battery", "sell"}, `there is no command "sell" in amphora battery; it has add`},
		{[]string{"battery", "add"}, "amphora battery add takes NAME, and was given nothing; for instance: amphora battery add mower"},
		{[]string{"battery", "add", "-x"}, "unknown shorthand flag"},
		{[]string{"battery", "add", "boat", "--capacity", "35V"}, "a charge like 35Ah"},
		{[]string{"battery", "add", "boat", "--capacity", "-3Ah"}, "--capacity is -3, want more than 0"},
		{[]string{"battery", "add", "boat", "--cells", "six"}, "not a whole number"},
		{[]string{"battery", "add", "boat", "--chemistry", "zinc"}, `chemistry "zinc" is not known`},
		{[]string{"battery", "edit", "mower"}, "nothing to change"},
		{[]string{"battery", "retire", "mower", "--undo", "--at", "2026-03-14"}, "no time for --at"},
		{[]string{"battery", "retire", "mower", "--at", "soon"}, "is not a time"},
		{[]string{"reading", "add", "mower"}, "the reading says nothing"},
		{[]string{"reading", "add", "mower", "--ohm", "29"}, "at most 10 ohm"},
		{[]string{"reading", "add", "mower", "--gravity", "heavy"}, "is not a number"},
		{[]string{"session", "list", "--limit", "-1"}, "limit is -1"},
		{[]string{"session", "annotate", "x"}, `takes ID WORDS..., and was given "x"`},
		{[]string{"plan", "--capacity", "0"}, "capacity is not above zero"},
		{[]string{"plan", "--rate", "fast"}, "or a share of the capacity"},
		{[]string{"plan", "--depth", "3V"}, "--depth"},
		{[]string{"plan", "--chemistry", "lithium"}, `"lithium" is not known`},
		{[]string{"plan", "now"}, `amphora plan takes flags only, and was given "now"; for instance: amphora plan --reserve-minutes 85`},
		{[]string{"serve", "a.yaml"}, "for instance: amphora serve --config amphora.yaml"},
		{[]string{"plan", "--capcity", "35Ah"}, "amphora plan has no flag --capcity; did you mean --capacity?"},
		{[]string{"plan", "--colour"}, "amphora plan has no flag --colour\n"},
		{[]string{"plan", "--capacity"}, "flag needs an argument: --capacity"},
		{[]string{"plan", "--json=maybe"}, `--json: "maybe" is neither true nor false`},
		{[]string{"analyze", "--cells", "12V", mowerLog}, `--cells: "12V" is not a whole number`},
		{[]string{"analyze", "--cells", "0", mowerLog}, "--cells: want a number of cells in series"},
		{[]string{"analyze", "--cells", "-3", mowerLog}, "--cells: want a number of cells in series"},
		{[]string{"demo", "--speed", "fast"}, `--speed: "fast" is not a number`},
		{[]string{"demo", "--speed", "nan"}, "--speed NaN: want a number above zero"},
		{[]string{"identify"}, "takes FILE|PORT, and was given nothing"},
		{[]string{"identify", "--listen", "0", "tcp:127.0.0.1:1"}, "--listen"},
		{[]string{"identify", "--listen", "25h", "tcp:127.0.0.1:1"}, "--listen 25h: want a day at most"},
		{[]string{"identify", "tcp:nowhere"}, `amphora: tcp:nowhere: tcp address "nowhere" is not host:port`},
		{[]string{"ports", "all"}, `amphora ports takes flags only, and was given "all"`},
		{[]string{"analyze", "--findings", "stale=2x", mowerLog}, `--findings: stale: there is no finding "stale", want one of accepts-little`},
		{[]string{"analyze", "--findings", "stalled", mowerLog}, `--findings: stalled: "" is neither off nor a factor`},
		{[]string{"report", mowerLog, "--out", dir}, dir + " is a folder; name a file in it"},
		{[]string{"journal", "burn"}, `there is no command "burn"`},
		{[]string{"completion", "tcl"}, `takes bash|fish|powershell|zsh, and was given "tcl"`},
	} {
		args := c.args
		if c.args[0] == "battery" || c.args[0] == "reading" || c.args[0] == "session" {
			args = append(args, "--data", dir)
		}
		code, out, errOut := amphora(t, args...)
		assert.Equal(t, exitUsage, code, "%v: %s", c.args, errOut)
		assert.Empty(t, out, "%v", c.args)
		assert.Contains(t, errOut, c.want, "%v", c.args)
		assert.Contains(t, errOut, "--help", "%v", c.args)
	}
}

func TestFindingsAreToldAsPatientlyAsAsked(t *testing.T) {
	const log = "../../testdata/mower-two-hour-timer.log"
	found := func(args ...string) (list []string) {
		for _, f := range doneJSON[analyze.Document](t, append([]string{"analyze", log}, args...)...).Sessions[0].Findings {
			list = append(list, f.Code)
		}
		return list
	}
	assert.Equal(t, []string{"current-dropped"}, found())
	assert.Equal(t, []string{"current-dropped"}, found("--findings", "current-dropped=2x"))
	assert.Empty(t, found("--findings", "stalled=2x, current-dropped=off"))
	code, _, _ := amphora(t, "analyze", "--fail-on", "warning", "--findings", "current-dropped=off", log)
	assert.Equal(t, exitDone, code, "what is off fails nothing")
}

func TestFailures(t *testing.T) {
	dir, empty := newData(t), t.TempDir()
	missing := filepath.Join(empty, "none")
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"battery", "add", "mower", "--data", dir}, "is in the logbook already; `amphora battery edit` changes it"},
		{[]string{"battery", "show", "boat", "--data", dir}, "is not in the logbook; `amphora battery list`"},
		{[]string{"battery", "edit", "boat", "--cells", "6", "--data", dir}, "is not in the logbook"},
		{[]string{"battery", "retire", "boat", "--data", dir}, "is not in the logbook"},
		{[]string{"battery", "show", "boat", "--data", empty}, "no logbook there yet"},
		{[]string{"battery", "list", "--data", missing}, "--data names another"},
		{[]string{"reading", "add", "boat", "--volts", "12", "--data", dir}, "is not in the logbook"},
		{[]string{"reading", "list", "boat", "--data", dir}, "is not in the logbook"},
		{[]string{"reading", "list", "boat", "--data", empty}, "no logbook there yet"},
		{[]string{"session", "show", "x", "--data", dir}, "is not in the logbook"},
		{[]string{"session", "annotate", "x", "hm", "--data", dir}, "is not in the logbook"},
		{[]string{"session", "list", "--before", "x", "--data", dir}, "--before"},
		{[]string{"journal", "verify", missing}, "name the daemon's data folder"},
		{[]string{"journal", "export", empty}, "name a daemon's data folder"},
		{[]string{"identify", missing}, "no such file or directory; for the name of a port see `amphora ports`"},
		{[]string{"identify", empty}, empty + " is a folder; name a log in it"},
		{[]string{"report", mowerLog, "--out", filepath.Join(missing, "x.html")}, "there is no folder " + missing + "; make it first"},
		{[]string{"identify", "/dev/ttyNONE0"}, "amphora ports"},
	} {
		code, out, errOut := amphora(t, c.args...)
		assert.Equal(t, exitFailed, code, "%v: %s", c.args, errOut)
		assert.Empty(t, out, "%v", c.args)
		assert.Contains(t, errOut, c.want, "%v", c.args)
	}
	left, err := os.ReadDir(empty)
	require.NoError(t, err)
	assert.Empty(t, left, "looking must leave nothing behind")
}

func TestDataFolder(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("AMPHORA_DATA", "")
	t.Setenv("XDG_STATE_HOME", "")
	done(t, "battery", "add", "at-home")
	assert.FileExists(t, daemon.BookFile(filepath.Join(home, ".local", "state", "amphora")))

	t.Setenv("XDG_STATE_HOME", filepath.Join(home, "state"))
	done(t, "battery", "add", "in-state")
	assert.FileExists(t, daemon.BookFile(filepath.Join(home, "state", "amphora")))

	t.Setenv("AMPHORA_DATA", filepath.Join(home, "data"))
	done(t, "battery", "add", "in-data")
	assert.FileExists(t, daemon.BookFile(filepath.Join(home, "data")))

	done(t, "battery", "add", "named", "--data", filepath.Join(home, "named"))
	assert.FileExists(t, daemon.BookFile(filepath.Join(home, "named")))
	assert.Len(t, doneJSON[[]logbook.Battery](t, "battery", "list"), 1)
}

// Who looks before anything was written down is told how to begin; a folder that was named,
// and is not there, may have been mistyped.
func TestNothingIsWrittenDownYet(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("XDG_STATE_HOME", "")
	t.Setenv("AMPHORA_DATA", "")
	assert.Contains(t, done(t, "battery", "list"), "no batteries; `amphora battery add NAME` adds one")
	assert.Equal(t, "[]", strings.TrimSpace(done(t, "session", "list", "--json")))
	assert.Equal(t, "[]", strings.TrimSpace(done(t, "reading", "list", "--json")))
	left, err := os.ReadDir(home)
	require.NoError(t, err)
	assert.Empty(t, left, "looking must leave nothing behind")

	t.Setenv("AMPHORA_DATA", filepath.Join(home, "mistyped"))
	code, _, errOut := amphora(t, "battery", "list")
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, errOut, "mistyped: no such file or directory")
}

// newJournal is a data folder with a record of one channel.
func newJournal(t *testing.T, channel string, lines ...string) string {
	t.Helper()
	dir := t.TempDir()
	addChannel(t, dir, channel, lines...)
	return dir
}

func addChannel(t *testing.T, dir, channel string, lines ...string) {
	t.Helper()
	j, err := journal.Open(dir, journal.Options{BootID: "boot"})
	require.NoError(t, err)
	c, err := j.Channel(channel, 0)
	require.NoError(t, err)
	c.Append(capture.Frame{Wall: morning, Boot: time.Second, Text: []byte("opened"), Flags: capture.Opened})
	for n, line := range lines {
		c.Append(capture.Frame{Wall: morning.Add(time.Duration(n) * time.Second), Boot: time.Duration(n+2) * time.Second, Text: []byte(line)})
	}
	require.NoError(t, j.Close(t.Context()))
}
