//go:build linux

package system

import (
	"bytes"
	"debug/elf"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	top     = "../../.." // of the source tree
	version = "0.0.1"    // invented
	host    = runtime.GOARCH
)

// epoch is the time that files bear; invented.
const epoch = 1795600000

// build makes a release from the tree at a folder, whose files bear the time that is given in seconds, or that of
// the tree. It is packed loosely, since that is quicker.
func build(tree, to, when string, architectures ...string) (said []byte, err error) {
	make := exec.Command(filepath.Join(tree, "cmd/amphora/system/build"), version, to)
	make.Env = append(os.Environ(), "SOURCE_DATE_EPOCH="+when, "DPKG_DEB_COMPRESSOR_LEVEL=0", "ARCHITECTURES="+strings.Join(architectures, " "))
	return make.CombinedOutput()
}

// kept is where the release of this run is; TestMain removes it.
var kept string

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "amphora-release-")
	if err != nil {
		panic(err)
	}
	kept = dir
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

var buildOnce = sync.OnceValues(func() ([]byte, error) { return build(top, kept, strconv.Itoa(epoch), "amd64", "arm64", "armhf") })

// release is the folder of a release, built once for all tests.
func release(t testing.TB) string {
	t.Helper()
	testhelp.Needed(t, "dpkg-deb", "dpkg")
	said, err := buildOnce()
	require.NoError(t, err, "%s", said)
	return kept
}

func program(t testing.TB, architecture string) string {
	return filepath.Join(release(t), "amphora-"+version+"-linux-"+architecture)
}

func debian(t testing.TB, architecture string) string {
	return filepath.Join(release(t), "amphora_"+version+"_"+architecture+".deb")
}

// Each program is one file that asks for no other: no loader, no library.
func TestProgramsAreStatic(t *testing.T) {
	for architecture, machine := range map[string]elf.Machine{"amd64": elf.EM_X86_64, "arm64": elf.EM_AARCH64, "armhf": elf.EM_ARM} {
		f, err := elf.Open(program(t, architecture))
		require.NoError(t, err)
		defer f.Close()
		assert.Equal(t, machine, f.Machine)
		libraries, err := f.ImportedLibraries()
		assert.NoError(t, err)
		assert.Empty(t, libraries)
		for _, p := range f.Progs {
			assert.NotEqual(t, elf.PT_INTERP, p.Type, architecture)
		}
	}
}

func TestProgramKnowsItsVersion(t *testing.T) {
	if host != "amd64" && host != "arm64" {
		t.Skip("no release runs on this machine")
	}
	out, err := exec.Command(program(t, host), "--version").Output()
	require.NoError(t, err)
	assert.Equal(t, "amphora "+version+"\n", string(out))
}

// Built again from a copy of the tree in another folder, which is no repository but bears its time, as an unpacked
// archive does, program and package are the same to the byte. With
// AMPHORA_LONG=1 the compiler begins from nothing as well.
func TestReleaseIsReproducible(t *testing.T) {
	tree, again := filepath.Join(t.TempDir(), "elsewhere"), t.TempDir()
	for _, part := range []string{"analyze", "capture", "cmd", "dashboards", "decoders", "go.mod", "go.sum", "LICENSE", "README.md"} {
		require.NoError(t, copyOf(filepath.Join(top, part), filepath.Join(tree, part)))
	}
	require.NoError(t, os.Chtimes(filepath.Join(tree, "go.mod"), time.Time{}, time.Unix(epoch, 0)))
	release(t)
	if os.Getenv("AMPHORA_LONG") != "" {
		t.Setenv("GOCACHE", t.TempDir())
	}
	said, err := build(tree, again, "", "amd64")
	require.NoError(t, err, "%s", said)
	for _, file := range []string{program(t, "amd64"), debian(t, "amd64")} {
		first, err := os.ReadFile(file)
		require.NoError(t, err)
		second, err := os.ReadFile(filepath.Join(again, filepath.Base(file)))
		require.NoError(t, err)
		assert.True(t, bytes.Equal(first, second), "%s differs", filepath.Base(file))
	}
}

func copyOf(from, to string) error {
	return filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		within, err := filepath.Rel(from, path)
		if err != nil {
			return err
		}
		target := filepath.Join(to, within)
		if d.IsDir() {
			return os.MkdirAll(target, 0o755)
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		return os.WriteFile(target, text, info.Mode())
	})
}

// The programs for other processors do what this machine's does, to the last digit: a
// log analyzed, and a whole demo with its daemon, journal and logbook.
func TestProgramsForOtherProcessors(t *testing.T) {
	log := filepath.Join(top, "testdata/mower-full.log")
	for architecture, emulator := range map[string]string{"arm64": "qemu-aarch64", "armhf": "qemu-arm"} {
		t.Run(architecture, func(t *testing.T) {
			t.Parallel()
			emulator := testhelp.Needed(t, emulator, "qemu-user")
			here, err := exec.Command(program(t, host), "analyze", "--json", log).Output()
			require.NoError(t, err)
			there, err := exec.Command(emulator, program(t, architecture), "analyze", "--json", log).Output()
			require.NoError(t, err)
			assert.Equal(t, string(here), string(there))
			out, err := exec.CommandContext(t.Context(), emulator, program(t, architecture), "demo", "--speed", "20000", "--exit").CombinedOutput()
			require.NoError(t, err, "%s", out)
			assert.Contains(t, string(out), "charge was completed")
		})
	}
}
