package durable

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// whereTo tells this very program, run once more, where to write a file.
const whereTo = "AMPHORA_TEST_WRITE_TO"

// A power cut keeps what was synced and any part of the rest. So what the file holds is
// synced before it has its name, and the name after that; the system is asked what it
// was told, and in which order.
func TestWhatAFileHoldsIsSafeBeforeItsName(t *testing.T) {
	if dir := os.Getenv(whereTo); dir != "" {
		require.NoError(t, Replace(dir, "state.json", []byte("{}")))
		return
	}
	strace, dir := testhelp.Needed(t, "strace", "strace"), t.TempDir()
	told := filepath.Join(t.TempDir(), "told")
	cmd := exec.Command(strace, "-f", "-y", "-qq", "-e", "signal=none", "-e", "trace=fsync,fdatasync,rename,renameat,renameat2", "-o", told,
		os.Args[0], "-test.run", "^"+t.Name()+"$")
	cmd.Env = append(os.Environ(), whereTo+"="+dir)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	text, err := os.ReadFile(told)
	require.NoError(t, err)
	var order []string
	for line := range strings.Lines(string(text)) {
		if call := regexp.MustCompile(`(fsync|rename)\w*\(`).FindStringSubmatch(line); call != nil && strings.Contains(line, dir) {
			what := "folder"
			if strings.Contains(line, "state.json") {
				what = "file"
			}
			order = append(order, call[1]+" "+what)
		}
	}
	assert.Equal(t, []string{"fsync file", "rename file", "fsync folder"}, order, "%s", text)
}
