package capture

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestBehindLinesThatWereRead(t *testing.T) {
	for _, c := range []struct {
		name, log string
		read      []string
		want      int64 // 0: it is not this log
	}{
		{"some", "a\nb\nc\n", []string{"a", "b"}, 4},
		{"all", "a\nb\nc\n", []string{"a", "b", "c"}, 6},
		{"all but half a line", "a\nb\nc", []string{"a", "b"}, 4},
		{"CR and LF", "a\r\nb\r\nc\r\n", []string{"a", "b"}, 5},
		{"empty lines", "a\n\nb\n", []string{"a", "", "b"}, 5},
		{"none", "a\n", nil, 0},
		{"more than it has", "a\nb\n", []string{"a", "b", "c"}, 0},
		{"its last is half a line", "a\nb", []string{"a", "b"}, 0},
		{"the same heading", "a\nx\n", []string{"a", "b"}, 0},
		{"an empty log", "", []string{"a"}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "log")
			require.NoError(t, os.WriteFile(path, []byte(c.log), 0o600))
			left := c.read
			at, ok, err := File{Path: path}.Behind(func() ([]byte, bool) {
				if len(left) == 0 {
					return nil, false
				}
				line := left[0]
				left = left[1:]
				return []byte(line), true
			})
			require.NoError(t, err)
			assert.Equal(t, c.want != 0, ok)
			if ok {
				assert.Equal(t, c.want, at.Offset)
				file, err := os.Open(path)
				require.NoError(t, err)
				defer file.Close()
				assert.True(t, at.in(file))
			}
		})
	}
	_, ok, err := File{Path: filepath.Join(t.TempDir(), "none")}.Behind(func() ([]byte, bool) { return nil, false })
	assert.False(t, ok)
	assert.ErrorIs(t, err, os.ErrNotExist)
}
