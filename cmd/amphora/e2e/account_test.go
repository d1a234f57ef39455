//go:build linux

package e2e

import (
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The numbers of an account and of the group of serial ports, such as no machine has.
const (
	accountID = 54320
	portsID   = 54321
)

// account is a place of which the program owns the data folder only, as under the unit.
type account struct{ program, data, config string }

func newAccount(t *testing.T, port *port) account {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("only root can start the program under another account")
	}
	// A folder that any account may look into; those of the tests are their owner's.
	dir, err := os.MkdirTemp("", "amphora-account-")
	require.NoError(t, err)
	t.Cleanup(func() { os.RemoveAll(dir) })
	require.NoError(t, os.Chmod(dir, 0o755))
	a := account{filepath.Join(dir, "amphora"), filepath.Join(dir, "data"), filepath.Join(dir, "amphora.yaml")}
	text, err := os.ReadFile(binary)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(a.program, text, 0o755))
	require.NoError(t, os.Mkdir(a.data, 0o750))
	require.NoError(t, os.Chown(a.data, accountID, accountID))
	config := fmt.Sprintf("data: %s\nlisten: 127.0.0.1:0\nchannels:\n  - name: bench\n    source: {serial: {port: %s, baud: 9600}}\n    decoder: auto\n", a.data, port.slave.Name())
	require.NoError(t, os.WriteFile(a.config, []byte(config), 0o644))
	require.NoError(t, os.Chown(port.slave.Name(), 0, portsID))
	require.NoError(t, os.Chmod(port.slave.Name(), 0o660))
	return a
}

// serve starts the daemon with the account's rights and no others: no capability, none to be had, and the groups
// given beside its own.
func (a account) serve(t *testing.T, groups string) *program {
	t.Helper()
	p := launch(t, exec.Command("sh", "-c", `umask 0027 && exec "$@"`, "sh",
		"setpriv", "--reuid="+strconv.Itoa(accountID), "--regid="+strconv.Itoa(accountID), groups,
		"--no-new-privs", "--bounding-set=-all", "--inh-caps=-all",
		a.program, "serve", "--config", a.config))
	p.waitForPage()
	return p
}

// A service account that is in the group of serial ports records, and what it writes nobody else can read.
func TestServiceAccountInTheGroupOfPorts(t *testing.T) {
	t.Parallel()
	port := newPort(t)
	a := newAccount(t, port)
	p := a.serve(t, "--groups="+strconv.Itoa(portsID))
	night := mower(20)
	port.sayAll(night.lines)
	p.untilRead("bench", night.end)
	assert.Len(t, p.sessions(), 1)
	p.stop()
	status, out, said := amphora(t, "journal", "verify", a.data)
	assert.Zero(t, status, "%s%s", out, said)
	assert.NoError(t, filepath.WalkDir(a.data, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		assert.Zero(t, info.Mode().Perm()&0o007, "%s may be seen by anybody", path)
		return err
	}))
}

// One that is not in the group says which it is, and records once it may.
func TestServiceAccountOutsideTheGroupOfPorts(t *testing.T) {
	t.Parallel()
	port := newPort(t)
	a := newAccount(t, port)
	p := a.serve(t, "--clear-groups")
	advice := fmt.Sprintf("for a service set SupplementaryGroups=%d", portsID)
	testhelp.Until(t, "what to do", func() bool { return p.log.Count(advice) > 0 })
	assert.False(t, p.view("bench").Source.Up)
	require.NoError(t, os.Chown(port.slave.Name(), 0, accountID))
	p.untilUp("bench")
	port.say("V=13.2V I=1.00A")
	p.untilHeard("bench", 1)
	p.stop()
}
