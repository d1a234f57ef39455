//go:build linux

package e2e

import (
	"os"
	"os/exec"
	"testing"

	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDemoShowsEveryNightToItsEnd(t *testing.T) {
	says := map[string]string{
		"mower-float": "charge was completed", "drill-three-cells": "drill: li-ion, 3 cells\n",
		"shorted-cell": "warning, voltage-not-reached", "reversed-leads": "alarm, reverse-polarity",
	}
	for _, night := range madeup.All() {
		t.Run(night.Name, func(t *testing.T) {
			t.Parallel()
			status, out, said := amphora(t, "demo", "--speed", "20000", "--exit", "--night", night.Name)
			require.Zero(t, status, said)
			assert.Contains(t, out, "invented")
			assert.Contains(t, out, "went in")
			assert.Contains(t, out, says[night.Name])
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
