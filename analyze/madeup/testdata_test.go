package madeup_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze/madeup"
)

//go:generate go test . -run TestTestdataIsWhat -update

var update = flag.Bool("update", false, "write the made-up nights to testdata")

const testdata = "../../testdata"

// The logs on disk must be what the model writes today; with -update they
// become so. Logs that others put there are left alone.
func TestTestdataIsWhatTheModelWrites(t *testing.T) {
	for _, n := range madeup.Nights() {
		t.Run(n.Name, func(t *testing.T) {
			same(t, filepath.Join(testdata, n.Name+".log"), n.Log())
			same(t, filepath.Join(testdata, n.Name+".truth.json"), truthJSON(t, n))
		})
	}
}

func truthJSON(t *testing.T, n madeup.Night) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	require.NoError(t, e.Encode(n.Truth()))
	return b.Bytes()
}

func same(t *testing.T, path string, want []byte) {
	t.Helper()
	if *update {
		require.NoError(t, os.WriteFile(path, want, 0o644))
	}
	got, err := os.ReadFile(path)
	require.NoError(t, err, "write it with: go generate ./analyze/madeup")
	if bytes.Equal(got, want) {
		return
	}
	was, is := bytes.Split(got, []byte("\n")), bytes.Split(want, []byte("\n"))
	for i := range min(len(was), len(is)) {
		require.Equal(t, string(was[i]), string(is[i]), "%s line %d; if the model was meant to change: go generate ./analyze/madeup", path, i+1)
	}
	require.Len(t, was, len(is), path)
}

// A folder that lost its logs must not pass for one without faults; every log
// has its truth, and the folder stays small enough to clone in a garage.
func TestTestdataIsComplete(t *testing.T) {
	logs, err := filepath.Glob(filepath.Join(testdata, "*.log"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(logs), len(madeup.Nights()), "logs in %s", testdata)
	for _, log := range logs {
		head := make([]byte, 2)
		f, err := os.Open(log)
		require.NoError(t, err)
		_, err = f.Read(head)
		require.NoError(t, err)
		require.NoError(t, f.Close())
		assert.Equal(t, "# ", string(head), "%s opens with lines that tell what it is", log)
	}
	var size int64
	require.NoError(t, filepath.WalkDir(testdata, func(_ string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		size += info.Size()
		return err
	}))
	assert.Less(t, size, int64(3<<20))
}
