package testhelp

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// File writes a text into a file of a new folder that ends with the test. Nobody else
// may read it, for it may stand for a secret.
func File(t testing.TB, text string) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "secret")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}
