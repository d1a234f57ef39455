package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// folderOf makes a folder of files and of the folders they are in.
func folderOf(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	return dir
}

func textOf(t *testing.T, file string) string {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	return string(text)
}

// sources are the logs of a row of documents.
func sources(t *testing.T, out string) (all []string) {
	t.Helper()
	for d := json.NewDecoder(strings.NewReader(out)); d.More(); {
		var doc analyze.Document
		require.NoError(t, d.Decode(&doc))
		all = append(all, filepath.Base(filepath.Dir(doc.Log.Source))+"/"+filepath.Base(doc.Log.Source))
	}
	return all
}

func TestFolderIsReadInOrder(t *testing.T) {
	night, prose := textOf(t, mowerLog), textOf(t, "../../README.md")
	dir := folderOf(t, map[string]string{
		"b/2.log": night, "b/10.log": night, "a.log": night, "c.log": night, "README.md": prose,
		"picture": "\x89PNG" + strings.Repeat("\x00\x01\x02", 500), "empty.log": "", ".hidden.log": night, ".git/x.log": night,
	})
	code, out, errOut := amphora(t, "analyze", "--json", dir)
	assert.Equal(t, exitDone, code)
	root := filepath.Base(dir)
	assert.Equal(t, []string{root + "/a.log", "b/10.log", "b/2.log", root + "/c.log"}, sources(t, out))
	for _, name := range []string{"README.md", "picture", "empty.log"} {
		assert.Contains(t, errOut, "passed over "+filepath.Join(dir, name)+": the lines cannot be decoded")
	}
	assert.NotContains(t, errOut, "hidden")
	assert.Equal(t, 3, strings.Count(errOut, "\n"))

	one := done(t, "analyze", filepath.Join(dir, "a.log"))
	code, out, _ = amphora(t, "analyze", dir)
	assert.Equal(t, exitDone, code)
	assert.True(t, strings.HasPrefix(out, one+"\n"), "as if alone, and a blank line between")
}

func TestBadLogDoesNotStopTheRest(t *testing.T) {
	night := textOf(t, mowerLog)
	dir := folderOf(t, map[string]string{"a.log": night, "b.log": "no log\n", "c.log": night, "nothing/of.txt": "no log\n", "none/.keep": ""})
	at := func(name string) string { return filepath.Join(dir, name) }
	for _, c := range []struct {
		args []string
		code int
		told int
		want string
	}{
		{[]string{at("a.log"), at("b.log"), at("c.log")}, exitFailed, 2, "1 of 3 logs could not be read"},
		{[]string{at("a.log"), at("gone.log"), at("c.log")}, exitFailed, 2, "no such file"},
		{[]string{at("gone.log"), at("b.log")}, exitFailed, 0, "2 of 2 logs could not be read"},
		{[]string{at("b.log"), at("nothing")}, exitUndecodable, 0, "none of 2 files is a log"},
		{[]string{at("nothing")}, exitUndecodable, 0, "none of 1 files is a log"},
		{[]string{at("none")}, exitUndecodable, 0, "a folder without files cannot be decoded: "},
		{[]string{dir}, exitDone, 2, "passed over"},
		{[]string{at("b.log")}, exitUndecodable, 0, "b.log: the lines cannot be decoded"},
		{[]string{at("a.log"), at("b.log"), "--fail-on", "warning"}, exitFailed, 1, "1 of 2"},
		{[]string{dir, "--plot", at("x.svg")}, exitUsage, 0, "is a folder"},
		{[]string{dir, "--decoder", "wires"}, exitUsage, 0, `amphora: --decoder: decoder "wires" is not known`},
	} {
		code, out, errOut := amphora(t, append([]string{"analyze", "--json"}, c.args...)...)
		assert.Equal(t, c.code, code, c.args)
		assert.Len(t, sources(t, out), c.told, "%v", c.args)
		assert.Contains(t, errOut, c.want, "%v", c.args)
	}
}

// The first of many things takes longest, and each result is in its place. No more
// are begun than can be worked on.
func TestInOrder(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var things, got []int
		for k := range 50 {
			things = append(things, k)
		}
		var begun atomic.Int64
		for r := range inOrder(t.Context(), things, func(k int) int {
			begun.Add(1)
			time.Sleep(time.Duration(50-k) * time.Second)
			return k
		}) {
			got = append(got, r)
			synctest.Wait()
			require.LessOrEqual(t, int(begun.Load()), len(got)+runtime.GOMAXPROCS(0))
		}
		assert.Equal(t, things, got)
	})
}

func TestInOrderEndsWithItsContext(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, stop := context.WithTimeout(t.Context(), time.Minute)
		defer stop()
		n := 0
		for range inOrder(ctx, make([]int, 1000), func(int) int { time.Sleep(25 * time.Second); return 0 }) {
			n++
		}
		assert.Less(t, n, 1000)
		time.Sleep(time.Minute) // what was begun ends by itself
	})
}

func TestDocumentIsWrittenAsJSON(t *testing.T) {
	d, _, err := readLog(mowerLog, nil, logOptions{})
	require.NoError(t, err)
	d.Log.Source = "<&>"
	for range 3 {
		var want, got bytes.Buffer
		require.NoError(t, writeJSON(&want, d))
		require.NoError(t, writeDocument(&got, &d))
		require.Equal(t, want.String(), got.String())
		d.Sessions = append(d.Sessions, d.Sessions[0])
	}
	assert.Error(t, writeDocument(brokenPipe{}, &d))
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }
