package testhelp

import (
	"context"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// FreeAddress is one of this machine on which nobody listens.
func FreeAddress(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	return l.Addr().String()
}

// Mosquitto is a real MQTT broker on a port of its own, which stays the same when it is
// started anew.
type Mosquitto struct {
	Host string // with its port

	t       testing.TB
	config  string
	process *exec.Cmd
	said    Log
}

// NewMosquitto starts a broker with settings a line each; without any it lets in anybody.
func NewMosquitto(t testing.TB, settings ...string) *Mosquitto {
	t.Helper()
	Needed(t, "mosquitto_sub", "mosquitto-clients")
	m := &Mosquitto{Host: FreeAddress(t), t: t}
	if len(settings) == 0 {
		settings = []string{"allow_anonymous true", "log_type all"}
	}
	lines := append([]string{"listener " + m.Port() + " 127.0.0.1", "persistence false", "log_dest stderr"}, settings...)
	if os.Geteuid() == 0 {
		lines = append(lines, "user root")
	}
	m.config = filepath.Join(t.TempDir(), "mosquitto.conf")
	require.NoError(t, os.WriteFile(m.config, []byte(strings.Join(lines, "\n")+"\n"), 0o600))
	m.Start()
	t.Cleanup(func() {
		m.Kill()
		if t.Failed() {
			t.Logf("the broker said:\n%s", m.said.String())
		}
	})
	return m
}

// Port is its port alone.
func (m *Mosquitto) Port() string {
	_, port, _ := net.SplitHostPort(m.Host) // it is a listener's
	return port
}

// Address is where it is found.
func (m *Mosquitto) Address() string { return "mqtt://" + m.Host }

// Start starts it and returns once it can be reached.
func (m *Mosquitto) Start() {
	m.t.Helper()
	m.process = exec.Command(Needed(m.t, "mosquitto", "mosquitto"), "-c", m.config)
	m.process.Stderr = &m.said
	require.NoError(m.t, m.process.Start())
	Until(m.t, "the broker", func() bool {
		c, err := net.Dial("tcp", m.Host)
		if err == nil {
			_ = c.Close() // only to see
		}
		return err == nil
	})
}

// Kill ends it at once.
func (m *Mosquitto) Kill() {
	if m.process.ProcessState == nil {
		_ = m.process.Process.Kill() // it may have ended by itself
		_ = m.process.Wait()
	}
}

// Retained asks an independent client for all that the broker retains.
func (m *Mosquitto) Retained(options ...string) map[string]string {
	m.t.Helper()
	ctx, cancel := context.WithTimeout(m.t.Context(), time.Minute)
	defer cancel()
	args := append([]string{"-h", "127.0.0.1", "-p", m.Port(), "-t", "#", "--retained-only", "-W", "1", "-v"}, options...)
	out, err := exec.CommandContext(ctx, "mosquitto_sub", args...).Output()
	if e, ok := err.(*exec.ExitError); !ok || e.ExitCode() != itsOwnLimit {
		require.NoError(m.t, err)
	}
	all := make(map[string]string)
	for line := range strings.Lines(string(out)) {
		topic, payload, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		all[topic] = payload
	}
	return all
}

// itsOwnLimit is how mosquitto_sub says that its time (-W) was over.
const itsOwnLimit = 27
