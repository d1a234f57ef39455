package testhelp

import (
	"os"
	"path/filepath"
	"testing"
)

// OpenLogs is the folder of the open datasets. They are no part of the repository; their
// INDEX.md names each source, citation and licence, and TRUTH.csv what is known of each.
// A test that lacks them is skipped, or fails where all must be there.
func OpenLogs(t testing.TB) (dir string) {
	t.Helper()
	dir = openLogsFolder()
	if _, err := os.Stat(filepath.Join(dir, "TRUTH.csv")); err != nil {
		Lacking(t, "the open logs are not on this machine; set AMPHORA_OPEN_LOGS to their folder: "+err.Error())
	}
	return dir
}

// openLogsFolder is where they are looked for: where AMPHORA_OPEN_LOGS says, or beside the
// repository.
func openLogsFolder() string {
	if dir := os.Getenv("AMPHORA_OPEN_LOGS"); dir != "" {
		return dir
	}
	root := "." // a test runs in its package's folder
	for range 10 {
		if _, err := os.Stat(filepath.Join(root, "go.mod")); err == nil {
			break
		}
		root = filepath.Join(root, "..")
	}
	return filepath.Join(root, "..", "shared", "data")
}
