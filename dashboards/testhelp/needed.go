package testhelp

import (
	"os"
	"os/exec"
	"testing"
)

// Needed returns where a program is that a Debian package brings. A test that lacks it
// is skipped, or fails where all programs must be there (AMPHORA_CI is set).
func Needed(t testing.TB, program, debian string) (path string) {
	t.Helper()
	for _, name := range []string{program, "/usr/sbin/" + program} { // not in every user's PATH
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	Lacking(t, program+" is needed here: install Debian's package "+debian)
	return ""
}

// Lacking skips a test for a reason that says what to do about it, or fails it where all
// tests must run.
func Lacking(t testing.TB, why string) {
	t.Helper()
	if os.Getenv("AMPHORA_CI") != "" {
		t.Fatal(why)
	}
	t.Skip(why)
}
