package stores

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Spent is the processor time that a process has used. The kernel counts it in
// hundredths of a second.
func Spent(t testing.TB, pid int) time.Duration {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	require.NoError(t, err)
	_, behind, _ := strings.Cut(string(text), ") ") // the name may hold anything
	fields := strings.Fields(behind)
	sum := 0
	for _, f := range fields[11:13] {
		n, err := strconv.Atoi(f)
		require.NoError(t, err)
		sum += n
	}
	return time.Duration(sum) * 10 * time.Millisecond
}

// Resident is the memory that a process holds, MiB.
func Resident(t testing.TB, pid int) float64 {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	require.NoError(t, err)
	for line := range strings.Lines(string(text)) {
		if kib, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			n, err := strconv.Atoi(strings.Fields(kib)[0])
			require.NoError(t, err)
			return float64(n) / 1024
		}
	}
	t.Fatal("the kernel tells of no memory")
	return 0
}
