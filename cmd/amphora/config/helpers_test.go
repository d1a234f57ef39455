package config

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// port is a serial port that the made-up machine of the tests has.
const port = "/dev/serial/by-id/usb-meter-port0"

// What files of secrets hold in the tests; of bob nobody knows the password.
const (
	aToken = "0123456789abcdef\n"
	aUser  = "bob: $2a$10$0123456789012345678901234567890123456789012345678901.\n"
)

// machine is a made-up one in a temporary folder, with the environment given.
func machine(t testing.TB, env map[string]string) Host {
	h := Host{Getenv: func(name string) string { return env[name] }, Root: t.TempDir()}
	h.write(t, "/dev/ttyUSB0", "", 0o600)
	require.NoError(t, os.MkdirAll(h.real("/dev/serial/by-id"), 0o755))
	require.NoError(t, os.Symlink("../../ttyUSB0", h.real(port)))
	return h
}

func (h Host) write(t testing.TB, path, text string, mode os.FileMode) {
	require.NoError(t, os.MkdirAll(filepath.Dir(h.real(path)), 0o755))
	require.NoError(t, os.WriteFile(h.real(path), []byte(text), mode))
	require.NoError(t, os.Chmod(h.real(path), mode)) // whatever the umask
}

// read loads text as /etc/amphora.yaml with every feature there.
func (h Host) read(t testing.TB, text string) (*Config, []string) {
	h.write(t, "/etc/amphora.yaml", text, 0o644)
	c, problems := h.load("/etc/amphora.yaml", nil)
	var lines []string
	for _, p := range problems {
		lines = append(lines, p.String())
	}
	return c, lines
}
