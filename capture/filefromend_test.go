package capture

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestFileFromEndOfALine: what comes next is a whole line.
func TestFileFromEndOfALine(t *testing.T) {
	t.Parallel()
	log := newLog(t, "old\n")
	l := follow(t, File{Path: log.path, FromEnd: true})
	l.wait(Opened, 1)
	log.add("a\nb\n")
	assert.Equal(t, []string{"a", "b"}, l.wait(0, 2))
}

// TestFileFromEndGoesOnThere: nobody has written to the log since it was opened, and
// it is opened again, by the same program or by the next. What stood there before stays
// unread, and what came between is read.
func TestFileFromEndGoesOnThere(t *testing.T) {
	t.Parallel()
	for _, before := range []string{"", "old\nolder\n"} {
		log := newLog(t, before)
		var told Position
		src, err := File{Path: log.path, FromEnd: true, Save: func(p Position) { told = p }}.Source()
		require.NoError(t, err)
		assert.Empty(t, readOnce(t, src))
		log.add("new\n")
		assert.Equal(t, "new\n", readOnce(t, src), "the same program")
		next, err := File{Path: log.path, FromEnd: true, Resume: told}.Source()
		require.NoError(t, err)
		assert.Equal(t, "new\n", readOnce(t, next), "the next")
	}
}

// readOnce opens a source and gives what it has at once.
func readOnce(t *testing.T, src Source) string {
	stream, err := src.Open(t.Context())
	require.NoError(t, err)
	defer stream.Close()
	block := make([]byte, 64)
	n, err := stream.Read(block)
	require.NoError(t, err)
	return string(block[:n])
}

// TestFileFromEndGoesOnInsideALine: the half that was passed over stays a half.
func TestFileFromEndGoesOnInsideALine(t *testing.T) {
	t.Parallel()
	log := newLog(t, "old\nol")
	var s saved
	l := follow(t, File{Path: log.path, FromEnd: true, Save: s.save})
	l.wait(Opened, 1)
	l.end()
	log.add("d\nnew\n")
	l = follow(t, File{Path: log.path, FromEnd: true, Resume: s.at})
	assert.Equal(t, []string{"new"}, l.wait(0, 1))
	assert.Equal(t, []string{"d"}, l.texts(Fragment))
}

// TestFileFromEndThatIsNotThereYet: all that is in it by the time that it is found was
// added meanwhile. Of a disk that was mounted since nobody knows that.
func TestFileFromEndThatIsNotThereYet(t *testing.T) {
	t.Parallel()
	for _, mounted := range []bool{false, true} {
		folder := filepath.Join(t.TempDir(), "logs")
		require.NoError(t, os.Mkdir(folder, 0o700))
		log := logFile{t, filepath.Join(folder, "meter.csv")}
		src, err := File{Path: log.path, FromEnd: true}.Source()
		require.NoError(t, err)
		_, err = src.Open(t.Context())
		require.ErrorIs(t, err, os.ErrNotExist)
		want := "a\n"
		if mounted {
			want = ""
			require.NoError(t, os.Rename(folder, folder+" before"))
			require.NoError(t, os.Mkdir(folder, 0o700))
		}
		log.add("a\n")
		assert.Equal(t, want, readOnce(t, src), mounted)
	}
}
