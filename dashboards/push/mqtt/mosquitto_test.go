package mqtt

import (
	"context"
	"flag"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// TestMain lets more tests run at a time than there are processors: they mostly wait.
func TestMain(m *testing.M) {
	flag.Parse()
	if err := flag.Set("test.parallel", "16"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// mosquitto is a real broker on a port of its own, which stays the same when it is
// started anew.
type mosquitto struct {
	t       testing.TB
	dir     string
	port    int
	config  string
	process *exec.Cmd
	said    testhelp.Log
}

// newMosquitto starts a broker with further settings a line each.
func newMosquitto(t testing.TB, settings ...string) *mosquitto {
	t.Helper()
	testhelp.Needed(t, "mosquitto", "mosquitto")
	testhelp.Needed(t, "mosquitto_sub", "mosquitto-clients")
	free, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	m := &mosquitto{t: t, dir: t.TempDir(), port: free.Addr().(*net.TCPAddr).Port}
	require.NoError(t, free.Close())
	if len(settings) == 0 {
		settings = []string{"allow_anonymous true", "log_type all"}
	}
	lines := append([]string{fmt.Sprintf("listener %d 127.0.0.1", m.port), "persistence false", "log_dest stderr"}, settings...)
	if os.Geteuid() == 0 {
		lines = append(lines, "user root")
	}
	m.config = filepath.Join(m.dir, "mosquitto.conf")
	m.write(m.config, strings.Join(lines, "\n")+"\n")
	m.start()
	t.Cleanup(func() {
		m.kill()
		if t.Failed() {
			t.Logf("the broker said:\n%s", m.said.String())
		}
	})
	return m
}

func (m *mosquitto) write(file, text string) {
	m.t.Helper()
	require.NoError(m.t, os.WriteFile(file, []byte(text), 0o600))
}

// start starts it and returns once it can be reached.
func (m *mosquitto) start() {
	m.t.Helper()
	m.process = exec.Command(testhelp.Needed(m.t, "mosquitto", "mosquitto"), "-c", m.config)
	m.process.Stderr = &m.said
	require.NoError(m.t, m.process.Start())
	testhelp.Until(m.t, "the broker", func() bool {
		c, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", m.port))
		if err == nil {
			_ = c.Close() // only to see
		}
		return err == nil
	})
}

// kill ends it at once.
func (m *mosquitto) kill() {
	if m.process.ProcessState == nil {
		_ = m.process.Process.Kill() // it may have ended by itself
		_ = m.process.Wait()
	}
}

func (m *mosquitto) address() string { return fmt.Sprintf("mqtt://127.0.0.1:%d", m.port) }

// retained asks an independent client for all that the broker retains.
func (m *mosquitto) retained(options ...string) map[string]string {
	m.t.Helper()
	ctx, cancel := context.WithTimeout(m.t.Context(), 20*time.Second)
	defer cancel()
	args := append([]string{"-h", "127.0.0.1", "-p", fmt.Sprint(m.port), "-t", "#", "--retained-only", "-W", "1", "-v"}, options...)
	out, err := exec.CommandContext(ctx, "mosquitto_sub", args...).Output()
	if code := exitCode(err); code != 27 { // its own limit of time
		require.NoError(m.t, err)
	}
	all := make(map[string]string)
	for line := range strings.Lines(string(out)) {
		topic, payload, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		all[topic] = payload
	}
	return all
}

func exitCode(err error) int {
	if e, ok := err.(*exec.ExitError); ok {
		return e.ExitCode()
	}
	return 0
}
