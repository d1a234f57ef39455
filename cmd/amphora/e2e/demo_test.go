//go:build linux

package e2e

import (
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDemoShowsANightToItsEnd(t *testing.T) {
	for _, c := range []struct{ night, says string }{
		{"mower-float", "charge was completed"},
		{"drill-three-cells", "drill: li-ion, 3 cells\n"},
		{"shorted-cell", "warning, voltage-not-reached"},
	} {
		t.Run(c.night, func(t *testing.T) {
			t.Parallel()
			began := time.Now()
			status, out, said := amphora(t, "demo", "--speed", "20000", "--exit", "--night", c.night)
			require.Zero(t, status, said)
			assert.Contains(t, out, "invented")
			assert.Contains(t, out, "went in")
			assert.Contains(t, out, c.says)
			t.Logf("took %v", time.Since(began))
		})
	}
	status, _, said := amphora(t, "demo", "--night", "no-such")
	assert.Equal(t, 2, status)
	assert.Contains(t, said, "mower-float", "names those there are")
}

// Where no pseudo-terminal can be had the demo plays through a TCP port. Here a file that is none
// hides the one of the machine from the program.
func TestDemoWithoutPseudoTerminals(t *testing.T) {
	t.Parallel()
	hide := func(then ...string) *exec.Cmd {
		script := append([]string{"-rm", "sh", "-c", `mount --bind /dev/null /dev/ptmx && exec "$@"`, "sh"}, then...)
		return exec.CommandContext(t.Context(), "unshare", script...)
	}
	if out, err := hide("true").CombinedOutput(); err != nil {
		if os.Getenv("AMPHORA_CI") != "" && os.Geteuid() == 0 {
			t.Fatalf("the pseudo-terminals of the machine cannot be hidden: %v: %s", err, out)
		}
		t.Skipf("this machine does not let us hide its pseudo-terminals: %v: %s", err, out)
	}
	out, err := hide(binary, "demo", "--speed", "20000", "--exit").CombinedOutput()
	require.NoError(t, err, "%s", out)
	assert.Contains(t, string(out), "  port   127.0.0.1:")
	assert.Contains(t, string(out), "a TCP port, since there is no pseudo-terminal: ")
	assert.Contains(t, string(out), "charge was completed")
}
