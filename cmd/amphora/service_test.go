package main_test

import (
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The unit gives the daemon no more rights than it needs: systemd's own judgement,
// from 0 (no exposure) to 10.
func TestS14TheUnitIsConfined(t *testing.T) {
	tool := testhelp.Needed(t, "systemd-analyze", "systemd")
	out, err := exec.Command(tool, "security", "--offline=true", "--no-pager", "system/amphora.service").CombinedOutput()
	require.NoError(t, err, "%s", out)
	found := regexp.MustCompile(`exposure level for amphora.service: ([0-9.]+)`).FindSubmatch(out)
	require.NotNil(t, found, "%s", out)
	exposure, err := strconv.ParseFloat(string(found[1]), 64)
	require.NoError(t, err)
	assert.LessOrEqual(t, exposure, 3.0)
	unit, err := os.ReadFile("system/amphora.service")
	require.NoError(t, err)
	for _, needed := range []string{"User=amphora", "StateDirectoryMode=0750", "ProtectSystem=strict", "MemoryMax=", "SupplementaryGroups=dialout",
		"UMask=0027", "Restart=always", "RestartSec=5", "StartLimitIntervalSec=0"} {
		assert.Contains(t, string(unit), needed)
	}
}
