package testhelp

import (
	"flag"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Update tells whether what is kept is to be written anew instead of compared: the tests
// were started with -update.
func Update() bool { return *update }

// Golden compares what came with a file that is kept, or writes that anew.
func Golden(t testing.TB, file, got string) {
	t.Helper()
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err, "write it with -update")
	assert.Equal(t, string(want), got, "if this is meant, write it anew with -update")
}
