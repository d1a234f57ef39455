package capture

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// logFile is a log that the test writes.
type logFile struct {
	t    *testing.T
	path string
}

func newLog(t *testing.T, text string) logFile {
	l := logFile{t, filepath.Join(t.TempDir(), "meter.csv")}
	l.add(text)
	return l
}

func (l logFile) add(text string) {
	l.t.Helper()
	f, err := os.OpenFile(l.path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	require.NoError(l.t, err)
	_, err = f.WriteString(text)
	require.NoError(l.t, err)
	require.NoError(l.t, f.Close())
}

// saved is the last position that was told.
type saved struct {
	mu sync.Mutex
	at Position
}

func (s *saved) save(p Position) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.at = p
}

func (s *saved) offset() int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.at.Offset
}

func follow(t *testing.T, c File) *listening {
	t.Helper()
	src, err := c.Source()
	src.Retry = Retry{Every: time.Millisecond, Long: time.Hour}
	return listenTo(t, src, err)
}

func TestFileFollowsWhatIsAdded(t *testing.T) {
	t.Parallel()
	log := newLog(t, "a\nb\nc")
	l := follow(t, File{Path: log.path})
	assert.Equal(t, []string{"a", "b"}, l.wait(0, 2))
	log.add("c\nd\n")
	assert.Equal(t, []string{"a", "b", "cc", "d"}, l.wait(0, 4), "half a line waits for its end")
}

func TestFileFromEnd(t *testing.T) {
	t.Parallel()
	log := newLog(t, "old\nol")
	l := follow(t, File{Path: log.path, FromEnd: true})
	l.wait(Opened, 1)
	log.add("d\nnew\n")
	assert.Equal(t, []string{"new"}, l.wait(0, 1))
	assert.Equal(t, []string{"d"}, l.texts(Fragment))
}

func TestFileThatIsNotThereYet(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "meter.csv")
	l := follow(t, File{Path: path})
	l.wait(Lost, 1)
	logFile{t, path}.add("a\n")
	assert.Equal(t, []string{"a"}, l.wait(0, 1))
}

func TestFileRotationFinishesTheOldFileFirst(t *testing.T) {
	t.Parallel()
	log := newLog(t, "a\n")
	l := follow(t, File{Path: log.path})
	l.wait(0, 1)
	require.NoError(t, os.Rename(log.path, log.path+".1"))
	logFile{t, log.path + ".1"}.add("b\nhalf") // the writer still has the old one open
	log.add("c\n")
	assert.Equal(t, []string{"a", "b", "c"}, l.wait(0, 3))
	assert.Equal(t, []string{"half"}, l.texts(Fragment))
	assert.Contains(t, l.texts(Marked)[0], "rotated")
	log.add("d\n")
	l.wait(0, 4)
}

func TestFileCutIsReadFromItsStart(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, then string }{
		{"to less than was read", "c\n"},
		{"and written again past what was read", "cccc\ndddd\neeee\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			log := newLog(t, "a\nb\n")
			l := follow(t, File{Path: log.path})
			l.wait(0, 2)
			require.NoError(t, os.WriteFile(log.path, []byte(c.then), 0o600)) // same file, cut first
			want := append([]string{"a", "b"}, strings.Fields(c.then)...)
			assert.Equal(t, want, l.wait(0, len(want)))
			assert.Contains(t, l.texts(Marked)[0], "cut")
		})
	}
}

// TestFileResumes stops after some lines, harms the file in the way of its name,
// and goes on: every line comes once.
func TestFileResumes(t *testing.T) {
	t.Parallel()
	first := "time,volts\n1,12.0\n2,12.1\n3,12."
	for _, c := range []struct {
		name string
		harm func(log logFile)
		want string
	}{
		{"with more lines", func(log logFile) { log.add("2\n4,12.3\n") }, "3,12.2 4,12.3"},
		{"rotated, and both written on", func(log logFile) {
			log.add("2\n")
			require.NoError(log.t, os.Rename(log.path, log.path+".1"))
			log.add("time,volts\n5,12.4\n")
		}, "3,12.2 time,volts 5,12.4"},
		{"cut and begun anew", func(log logFile) {
			require.NoError(log.t, os.WriteFile(log.path, []byte("time,volts\n8,12.8\n9,12.9\n10,13.0\n"), 0o600))
		}, "time,volts 8,12.8 9,12.9 10,13.0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			log := newLog(t, first)
			var s saved
			l := follow(t, File{Path: log.path, Save: s.save})
			l.wait(0, 3)
			require.Eventually(t, func() bool { return s.offset() == int64(strings.LastIndex(first, "3")) }, time.Minute, time.Millisecond)
			l.end()

			c.harm(log)
			stored, err := json.Marshal(s.at)
			require.NoError(t, err)
			var at Position
			require.NoError(t, json.Unmarshal(stored, &at))
			l = follow(t, File{Path: log.path, Resume: at})
			want := strings.Fields(c.want)
			assert.Equal(t, want, l.wait(0, len(want)))
		})
	}
}

// TestFileResumesInTheCopy: while nobody listened the log was added to, copied
// and cut.
func TestFileResumesInTheCopy(t *testing.T) {
	t.Parallel()
	for _, n := range []int{5, 100} {
		log := newLog(t, rowsFrom(0, n))
		var s saved
		l := follow(t, File{Path: log.path, Save: s.save})
		l.wait(0, n)
		require.Eventually(t, func() bool { return s.offset() == int64(len(rowsFrom(0, n))) }, time.Minute, time.Millisecond)
		l.end()
		log.add("100,12.2\n")
		whole, err := os.ReadFile(log.path)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(log.path+".1", whole, 0o600))
		require.NoError(t, os.WriteFile(log.path, []byte("101,12.3\n"), 0o600))
		assert.Equal(t, []string{"100,12.2", "101,12.3"}, follow(t, File{Path: log.path, Resume: s.at}).wait(0, 2))
	}
}

// TestFileWhosePlaceIsGone says so.
func TestFileWhosePlaceIsGone(t *testing.T) {
	t.Parallel()
	log := newLog(t, rowsFrom(0, 100))
	got := standing(t, log, func() {
		require.NoError(t, os.WriteFile(log.path, []byte(rowsFrom(500, 30)), 0o600))
	})
	assert.Equal(t, strings.Fields(rowsFrom(500, 30)), got[:30])
	assert.Contains(t, got[30], "not there any more")
}

// TestFileResumesBetweenCRAndLF: the line was given at its CR already.
func TestFileResumesBetweenCRAndLF(t *testing.T) {
	t.Parallel()
	log := newLog(t, "a\r")
	var s saved
	l := follow(t, File{Path: log.path, Save: s.save})
	l.wait(0, 1)
	require.Eventually(t, func() bool { return s.offset() == 2 }, time.Minute, time.Millisecond)
	l.end()
	log.add("\nb\r\n")
	assert.Equal(t, []string{"b"}, follow(t, File{Path: log.path, Resume: s.at}).wait(0, 1))
}

func TestFileRefusesADevice(t *testing.T) {
	t.Parallel()
	src, err := File{Path: os.DevNull}.Source()
	require.NoError(t, err)
	_, err = src.Open(t.Context())
	assert.ErrorContains(t, err, "serial:")
	src, err = File{Path: t.TempDir()}.Source()
	require.NoError(t, err)
	_, err = src.Open(t.Context())
	assert.Error(t, err)
	_, err = File{}.Source()
	assert.ErrorContains(t, err, "no path")
}

func TestFileLargeArrivesWhole(t *testing.T) {
	t.Parallel()
	var text strings.Builder
	for i := range 20_000 {
		fmt.Fprintf(&text, "%d,13.741,3.359\n", i)
	}
	l := follow(t, File{Path: newLog(t, text.String()).path})
	assert.Equal(t, text.String(), strings.Join(l.wait(0, 20_000), "\n")+"\n")
}
