// Package stores starts real servers for tests, those of their users, with data of
// their own and on ports that nobody uses.
package stores

import (
	"io"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// Dir is a folder in memory, where there is one: nights go by in no time, and the
// syncs of a slow disk would be most of it.
func Dir(t testing.TB) string {
	dir, err := os.MkdirTemp("/dev/shm", "amphora-test-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}

// Store is a server as its users run it.
type Store struct {
	Name string // of the program
	URL  string
	PID  int

	t       testing.TB
	command func() *exec.Cmd
	ready   string // answers once it is
	cmd     *exec.Cmd
}

// Influx starts an InfluxDB without a database.
func Influx(t testing.TB) *Store {
	path, dir, at, inner := testhelp.Needed(t, "influxd", "influxdb"), Dir(t), testhelp.FreeAddress(t), testhelp.FreeAddress(t)
	r := &Store{Name: "influxd", t: t, ready: "/ping", URL: "http://" + at}
	r.command = func() *exec.Cmd {
		cmd := exec.Command(path, "run", "-config", os.DevNull)
		cmd.Env = append(os.Environ(),
			"INFLUXDB_META_DIR="+filepath.Join(dir, "meta"), "INFLUXDB_DATA_DIR="+filepath.Join(dir, "data"), "INFLUXDB_DATA_WAL_DIR="+filepath.Join(dir, "wal"),
			"INFLUXDB_HTTP_BIND_ADDRESS="+at, "INFLUXDB_BIND_ADDRESS="+inner, "INFLUXDB_REPORTING_DISABLED=true")
		return cmd
	}
	r.Start()
	return r
}

// Victoria starts a VictoriaMetrics.
func Victoria(t testing.TB) *Store {
	path, dir, at := testhelp.Needed(t, "victoria-metrics", "victoria-metrics"), Dir(t), testhelp.FreeAddress(t)
	r := &Store{Name: "victoria-metrics", t: t, ready: "/health", URL: "http://" + at}
	r.command = func() *exec.Cmd {
		return exec.Command(path, "-httpListenAddr="+at, "-storageDataPath="+dir, "-retentionPeriod=100y", "-loggerLevel=WARN")
	}
	r.Start()
	return r
}

// Start starts it, or starts it again on the same data, and waits until it is ready.
func (r *Store) Start() {
	r.t.Helper()
	r.cmd = r.command()
	require.NoError(r.t, r.cmd.Start())
	cmd := r.cmd
	r.PID = cmd.Process.Pid
	r.t.Cleanup(func() { _ = cmd.Process.Kill() })
	for range 6000 {
		answer, err := http.Get(r.URL + r.ready)
		if err == nil {
			answer.Body.Close()
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	r.t.Fatalf("%s does not start", r.Name)
}

// Stop ends it in good order.
func (r *Store) Stop() {
	r.t.Helper()
	require.NoError(r.t, r.cmd.Process.Signal(syscall.SIGTERM))
	_ = r.cmd.Wait() // by the signal
}

// Get returns what it says at a path.
func (r *Store) Get(path string, query url.Values) []byte {
	r.t.Helper()
	answer, err := http.Get(r.URL + path + "?" + query.Encode())
	require.NoError(r.t, err)
	defer answer.Body.Close()
	b, err := io.ReadAll(answer.Body)
	require.NoError(r.t, err)
	require.Equal(r.t, 2, answer.StatusCode/100, "%s", b)
	return b
}

// Ask makes a query of InfluxDB's language.
func (r *Store) Ask(database, q string) []byte {
	r.t.Helper()
	answer, err := http.PostForm(r.URL+"/query", url.Values{"db": {database}, "epoch": {"ns"}, "q": {q}})
	require.NoError(r.t, err)
	defer answer.Body.Close()
	b, err := io.ReadAll(answer.Body)
	require.NoError(r.t, err)
	require.NotContains(r.t, string(b), `"error"`)
	return b
}
