//go:build linux

package system

import (
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// unpacked is what the package for this machine holds.
func unpacked(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	out, err := exec.Command("dpkg-deb", "-R", debian(t, "amd64"), dir).CombinedOutput()
	require.NoError(t, err, "%s", out)
	return dir
}

func TestPackageHolds(t *testing.T) {
	root := unpacked(t)
	files := map[string]string{
		"usr/lib/systemd/system/amphora.service":           "amphora.service",
		"usr/lib/sysusers.d/amphora.conf":                  "amphora.sysusers",
		"usr/share/doc/amphora/examples/60-amphora.rules":  "60-amphora.rules",
		"etc/amphora/amphora.yaml":                         "../config/amphora.example.yaml",
		"usr/share/man/man1/amphora.1.gz":                  "",
		"usr/share/man/man1/amphora-battery-add.1.gz":      "",
		"usr/share/man/man5/amphora.yaml.5.gz":             "",
		"usr/share/bash-completion/completions/amphora":    "",
		"usr/share/zsh/vendor-completions/_amphora":        "",
		"usr/share/fish/vendor_completions.d/amphora.fish": "",
		"usr/share/doc/amphora/README.md.gz":               "",
		"usr/share/doc/amphora/changelog.gz":               "",
	}
	for _, pattern := range []string{"prometheus/*.yml", "grafana/*.json"} {
		examples, err := filepath.Glob("../../../dashboards/" + pattern)
		require.NoError(t, err)
		require.NotEmpty(t, examples, pattern)
		for _, source := range examples {
			files["usr/share/doc/amphora/examples/"+filepath.Dir(pattern)+"/"+filepath.Base(source)] = source
		}
	}
	for file, source := range files {
		got, err := os.ReadFile(filepath.Join(root, file))
		require.NoError(t, err)
		assert.NotEmpty(t, got, file)
		if source != "" {
			want, err := os.ReadFile(source)
			require.NoError(t, err)
			assert.Equal(t, string(want), string(got), file)
		}
	}
	assert.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		assert.Zero(t, info.Mode().Perm()&0o022, "%s may be written by others", path)
		return err
	}))
}

// machine is a Debian system in a folder, with hardly anything on it.
type machine struct {
	t    *testing.T
	root string
}

func newMachine(t *testing.T) *machine {
	for program, debian := range map[string]string{"dpkg": "dpkg", "systemd-sysusers": "systemd"} {
		testhelp.Needed(t, program, debian)
	}
	if os.Geteuid() != 0 {
		t.Skip("only root can install a package into a folder")
	}
	if host != "amd64" {
		t.Skip("the package for this machine is not built here")
	}
	m := &machine{t, t.TempDir()}
	m.write("/var/lib/dpkg/status", "Package: systemd\nStatus: install ok installed\nArchitecture: amd64\nVersion: 252\nMaintainer: nobody\nDescription: stands in for what the machine of the test has\n")
	m.write("/var/lib/dpkg/info/format", "1\n")
	m.write("/etc/passwd", "root:x:0:0:root:/root:/bin/sh\n")
	m.write("/etc/group", "root:x:0:\ndialout:x:20:someone\n")
	require.NoError(t, os.MkdirAll(m.path("/var/lib/dpkg/updates"), 0o755))
	return m
}

func (m *machine) path(file string) string { return filepath.Join(m.root, file) }

func (m *machine) write(file, text string) {
	require.NoError(m.t, os.MkdirAll(filepath.Dir(m.path(file)), 0o755))
	require.NoError(m.t, os.WriteFile(m.path(file), []byte(text), 0o644))
}

func (m *machine) read(file string) string {
	text, err := os.ReadFile(m.path(file))
	require.NoError(m.t, err)
	return string(text)
}

// dpkg does something with packages on the machine. Its scripts run outside, and are told where the machine is, so
// that it needs no shell of its own.
func (m *machine) dpkg(args ...string) string {
	m.t.Helper()
	dpkg := exec.Command("dpkg", append([]string{"--root=" + m.root, "--log=" + m.path("/dpkg.log"), "--force-script-chrootless"}, args...)...)
	dpkg.Env = append(os.Environ(), "PATH=/usr/sbin:/usr/bin:/sbin:/bin", "LC_ALL=C")
	out, err := dpkg.CombinedOutput()
	require.NoError(m.t, err, "%s", out)
	return string(out)
}

// amphora runs the installed program.
func (m *machine) amphora(args ...string) string {
	m.t.Helper()
	out, err := exec.Command(m.path("/usr/bin/amphora"), args...).CombinedOutput()
	require.NoError(m.t, err, "%s", out)
	return string(out)
}

// later is the same package with a higher version, as an upgrade brings it.
func later(t *testing.T) string {
	t.Helper()
	root := unpacked(t)
	control := filepath.Join(root, "DEBIAN/control")
	text, err := os.ReadFile(control)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(control, []byte(strings.Replace(string(text), "Version: "+version, "Version: 0.0.2", 1)), 0o644))
	file := filepath.Join(t.TempDir(), "later.deb")
	out, err := exec.Command("dpkg-deb", "--root-owner-group", "-Znone", "--build", root, file).CombinedOutput()
	require.NoError(t, err, "%s", out)
	return file
}

// Installed, upgraded, removed, installed again and purged: what people wrote and what was recorded stay until the
// last.
func TestLifeOfAPackage(t *testing.T) {
	m := newMachine(t)
	said := m.dpkg("--install", debian(t, "amd64"))
	assert.Contains(t, said, "amphora does not record yet: its configuration is still the example")
	assert.Contains(t, said, "systemctl enable --now amphora")
	assert.NoDirExists(t, m.path("/etc/systemd/system/multi-user.target.wants"), "nothing is enabled")
	assert.Regexp(t, `(?m)^amphora:x:\d+:\d+:amphora charge recorder:/var/lib/amphora:.*nologin$`, m.read("/etc/passwd"))
	assert.Regexp(t, `(?m)^dialout:x:20:(someone,amphora|amphora,someone)$`, m.read("/etc/group"))
	data, err := os.Stat(m.path("/var/lib/amphora"))
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o750), data.Mode().Perm())
	assert.NotZero(t, data.Sys().(*syscall.Stat_t).Uid, "it belongs to the account")
	assert.Equal(t, "amphora "+version+"\n", m.amphora("--version"))

	// An invented user with an invented battery.
	book := m.path("/var/lib/amphora")
	m.amphora("battery", "add", "mower", "--capacity", "17Ah", "--data", book)
	batteries := m.amphora("battery", "list", "--data", book)
	edited := "data: /var/lib/amphora\nchannels:\n  - name: bench\n    source: {stdin: {}}\n    decoder: auto\n"
	m.write("/etc/amphora/amphora.yaml", edited)

	said = m.dpkg("--install", later(t))
	assert.NotContains(t, said, "does not record yet")
	assert.Equal(t, edited, m.read("/etc/amphora/amphora.yaml"))
	assert.Equal(t, batteries, m.amphora("battery", "list", "--data", book))
	assert.Equal(t, 1, strings.Count(m.read("/etc/passwd"), "amphora:x:"))

	m.dpkg("--remove", "amphora")
	assert.NoFileExists(t, m.path("/usr/bin/amphora"))
	assert.Equal(t, edited, m.read("/etc/amphora/amphora.yaml"))
	assert.FileExists(t, filepath.Join(book, "logbook.db"))

	m.dpkg("--install", debian(t, "amd64"))
	assert.Equal(t, edited, m.read("/etc/amphora/amphora.yaml"))
	assert.Equal(t, batteries, m.amphora("battery", "list", "--data", book))

	elsewhere := m.path("/srv/amphora")
	m.amphora("battery", "add", "boat", "--data", elsewhere)
	m.dpkg("--purge", "amphora")
	assert.NoDirExists(t, book)
	assert.NoDirExists(t, m.path("/etc/amphora"))
	assert.DirExists(t, elsewhere, "a folder that somebody chose stays")
	assert.Contains(t, m.read("/etc/passwd"), "amphora:x:", "its number is given to nobody else")
	assert.NoDirExists(t, m.path("/usr"), "nothing else was there")
}

// systemd reads the installed unit without complaint: every word of it is known, and what it starts is there.
func TestUnitIsSound(t *testing.T) {
	analyze := testhelp.Needed(t, "systemd-analyze", "systemd")
	m := newMachine(t)
	m.dpkg("--install", debian(t, "amd64"))
	for _, target := range []string{"basic", "multi-user", "network", "shutdown", "sysinit"} {
		m.write("/usr/lib/systemd/system/"+target+".target", "[Unit]\nDescription=stands in\n")
	}
	m.write("/bin/kill", "#!/bin/sh\n")
	require.NoError(t, os.Chmod(m.path("/bin/kill"), 0o755))
	out, err := exec.Command(analyze, "verify", "--man=no", "--root="+m.root, "amphora.service").CombinedOutput()
	assert.NoError(t, err)
	assert.Empty(t, string(out))
}
