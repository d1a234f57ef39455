package decoders

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// openLogs lists the open logs, or skips where they are not at hand.
func openLogs(t testing.TB) []string {
	dir := os.Getenv("AMPHORA_OPEN_LOGS")
	if dir == "" {
		dir = "../../shared/data"
	}
	names, err := filepath.Glob(filepath.Join(dir, "*_*.csv"))
	require.NoError(t, err)
	if len(names) == 0 {
		if os.Getenv("AMPHORA_CI") == "1" {
			t.Fatalf("no open logs in %s", dir)
		}
		t.Skipf("the open logs are not in %s; set AMPHORA_OPEN_LOGS to their folder", dir)
	}
	return names
}

// linesOf reads a file's lines.
func linesOf(t testing.TB, name string) [][]byte {
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	return bytes.Split(bytes.TrimRight(b, "\n"), []byte("\n"))
}

// head is what a caller passes to Fit.
func head(lines [][]byte) [][]byte { return lines[:min(len(lines), 4000)] }

func TestOpenLogsFitByTheirHeader(t *testing.T) {
	for _, name := range openLogs(t) {
		t.Run(filepath.Base(name), func(t *testing.T) {
			lines := linesOf(t, name)
			f, err := Fit(head(lines), Options{})
			require.NoError(t, err)
			t.Log(f.Setting, f.Confidence, f.Evidence, f.RunnerUp, f.Difference)
			require.Contains(t, f.Columns, "time_s, voltage_V, current_A")
		})
	}
}

func TestOpenLogsFitByPhysics(t *testing.T) {
	for _, name := range openLogs(t) {
		t.Run(filepath.Base(name), func(t *testing.T) {
			lines := linesOf(t, name)[1:]
			f, err := Fit(head(lines), Options{})
			require.NoError(t, err)
			t.Log(f.Setting, f.Confidence, f.Evidence, f.RunnerUp, f.Difference)
			require.Contains(t, f.Columns, "time_s, voltage_V, current_A")
		})
	}
}

var _ = math.NaN
