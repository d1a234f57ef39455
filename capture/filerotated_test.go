package capture

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rowsFrom makes distinct rows, enough of them to tell one log from another.
func rowsFrom(from, n int) string {
	var text strings.Builder
	for i := range n {
		fmt.Fprintf(&text, "%d,12.1\n", from+i)
	}
	return text.String()
}

// standing holds a file back from being looked at, as a program that is stopped does.
func standing(t *testing.T, log logFile, harm func()) []string {
	t.Helper()
	var s saved
	l := follow(t, File{Path: log.path, Save: s.save})
	l.wait(0, 100)
	require.Eventually(t, func() bool { return s.offset() == int64(len(rowsFrom(0, 100))) }, time.Minute, time.Millisecond)
	l.end()
	harm()
	l = follow(t, File{Path: log.path, Resume: s.at})
	got := l.wait(0, 30)
	l.end()
	return append(got, l.texts(Marked)...)
}

// TestFileRotatedMoreThanOnce: while nobody looked the log was rotated again and again.
// What lies between is read in its order; copies of it, and what is older, are not.
func TestFileRotatedMoreThanOnce(t *testing.T) {
	t.Parallel()
	for _, packed := range []bool{false, true} {
		log := newLog(t, rowsFrom(0, 100))
		put := func(ago int, suffix, text string) {
			require.NoError(t, os.WriteFile(log.path+suffix, []byte(text), 0o600))
			at := time.Now().Add(-time.Duration(ago) * time.Minute)
			require.NoError(t, os.Chtimes(log.path+suffix, at, at))
		}
		between := rowsFrom(110, 10)
		got := standing(t, log, func() {
			log.add(rowsFrom(100, 10))
			require.NoError(t, os.Rename(log.path, log.path+".3"))
			put(9, ".3", rowsFrom(0, 110))
			put(10, ".4", rowsFrom(9000, 100))
			put(6, ".bak", rowsFrom(9000, 100))
			put(5, ".2", between)
			put(4, ".2.bak", between)
			if packed {
				require.NoError(t, os.Rename(log.path+".2", log.path+".2.gz"))
				require.NoError(t, os.Remove(log.path+".2.bak"))
			}
			put(3, ".1", rowsFrom(120, 10))
			put(2, "", rowsFrom(130, 10))
		})
		want := rowsFrom(100, 30)
		if packed {
			want = rowsFrom(100, 10) + rowsFrom(120, 20)
			assert.Contains(t, got[30], filepath.Base(log.path)+".2.gz is compressed and was not read")
		}
		assert.Equal(t, strings.Fields(want), got[:30])
	}
}

// TestFileRotatedTwiceAndHardlyBegun: the present log is empty, or has no more than the
// heading of all.
func TestFileRotatedTwiceAndHardlyBegun(t *testing.T) {
	t.Parallel()
	for _, begun := range []string{"", "time,volts\n"} {
		log := newLog(t, "time,volts\n"+rowsFrom(0, 100))
		l := follow(t, File{Path: log.path})
		l.wait(0, 101)
		require.NoError(t, os.WriteFile(log.path+"~", []byte("time,volts\n"+rowsFrom(100, 20)), 0o600))
		later := time.Now().Add(time.Minute)
		require.NoError(t, os.Chtimes(log.path+"~", later, later))
		require.NoError(t, os.WriteFile(log.path+"~~", []byte(begun), 0o600))
		require.NoError(t, os.Rename(log.path, log.path+".2"))
		require.NoError(t, os.Rename(log.path+"~", log.path+".1"))
		require.NoError(t, os.Rename(log.path+"~~", log.path))
		want := strings.Fields("time,volts\n" + rowsFrom(0, 100) + "time,volts\n" + rowsFrom(100, 20) + begun)
		assert.Equal(t, want, l.wait(0, len(want)))
		l.end()
	}
}

// TestFileReplacedByACopyOfItself: a program brings the log here from elsewhere, each
// time as a whole; in another file under the same name, or by writing it anew.
func TestFileReplacedByACopyOfItself(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		bring func(log logFile, text string)
	}{
		{"by another file", func(log logFile, text string) {
			require.NoError(log.t, os.WriteFile(log.path+"~", []byte(text), 0o600))
			require.NoError(log.t, os.Rename(log.path+"~", log.path))
		}},
		{"by another file, and kept under another name", func(log logFile, text string) {
			require.NoError(log.t, os.Rename(log.path, log.path+"~"))
			require.NoError(log.t, os.WriteFile(log.path, []byte(text), 0o600))
		}},
		{"written anew", func(log logFile, text string) {
			require.NoError(log.t, os.Truncate(log.path, 0))
			time.Sleep(3 * tick)
			log.add(text)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			upTo := func(n int) string { return "time,volts\n" + rowsFrom(0, n) + fmt.Sprint(n)[:1] } // with half a line
			log := newLog(t, upTo(100))
			l := follow(t, File{Path: log.path})
			l.wait(0, 101)
			for n := 150; n <= 250; n += 50 {
				c.bring(log, upTo(n))
				l.wait(0, 1+n)
			}
			log.add("50,12.1\n")
			assert.Equal(t, strings.Fields("time,volts\n"+rowsFrom(0, 251)), l.wait(0, 252), "each row once")
			assert.NotContains(t, strings.Join(l.texts(Marked), ";"), "from its start")
		})
	}
}

// TestFileReplacedAndRotated: the copy that took its place was added to and rotated away
// before anybody looked.
func TestFileReplacedAndRotated(t *testing.T) {
	t.Parallel()
	log := newLog(t, rowsFrom(0, 100))
	l := follow(t, File{Path: log.path})
	l.wait(0, 100)
	require.NoError(t, os.WriteFile(log.path+"~", []byte(rowsFrom(0, 120)), 0o600))
	require.NoError(t, os.WriteFile(log.path+"~~", []byte(rowsFrom(120, 5)), 0o600))
	require.NoError(t, os.Remove(log.path))
	require.NoError(t, os.Rename(log.path+"~", log.path+".1"))
	require.NoError(t, os.Rename(log.path+"~~", log.path))
	assert.Equal(t, strings.Fields(rowsFrom(0, 125)), l.wait(0, 125))
}

// TestFileCutWhileItsCopyHoldsMore: what was added between the last look and the copy
// stands in the copy alone.
func TestFileCutWhileItsCopyHoldsMore(t *testing.T) {
	t.Parallel()
	for _, n := range []int{1, 5, 100} {
		log := newLog(t, rowsFrom(0, n))
		l := follow(t, File{Path: log.path})
		l.wait(0, n)
		require.NoError(t, os.WriteFile(log.path+".1", []byte(rowsFrom(0, n+20)), 0o600))
		require.NoError(t, os.WriteFile(log.path, []byte(rowsFrom(n+20, 5)), 0o600))
		assert.Equal(t, strings.Fields(rowsFrom(0, n+25)), l.wait(0, n+25))
	}
}

// TestFileCutBesideAnOlderLogLikeIt: two logs that begin alike, as with the same heading.
// The one that nobody has written to since is no copy, and stays unread.
func TestFileCutBesideAnOlderLogLikeIt(t *testing.T) {
	t.Parallel()
	log := newLog(t, rowsFrom(0, 5))
	require.NoError(t, os.WriteFile(log.path+".1", []byte(rowsFrom(0, 30)), 0o600))
	before := time.Now().Add(-time.Minute)
	require.NoError(t, os.Chtimes(log.path+".1", before, before))
	l := follow(t, File{Path: log.path})
	l.wait(0, 5)
	require.NoError(t, os.WriteFile(log.path, []byte("900,12.1\n"), 0o600))
	log.add(rowsFrom(901, 3))
	assert.Equal(t, strings.Fields(rowsFrom(0, 5)+rowsFrom(900, 4)), l.wait(0, 9))
}

// TestFileWrittenAnewBeforeTheNextRead: what stands there now, which is longer, is another
// log, whether or not the last read has been followed by a look.
func TestFileWrittenAnewBeforeTheNextRead(t *testing.T) {
	t.Parallel()
	for _, rows := range []int{5, 200} {
		log := newLog(t, rowsFrom(0, rows))
		var at Position
		src, err := File{Path: log.path}.open(&at)
		require.NoError(t, err)
		defer src.Close()
		var got []byte
		read := func() (found bool) {
			block := make([]byte, 64<<10)
			n, err := src.Read(block)
			got = append(got, block[:n]...)
			var said Remark
			if err != nil {
				require.ErrorAs(t, err, &said)
			}
			return n > 0
		}
		require.True(t, read())
		require.NoError(t, os.WriteFile(log.path, []byte(rowsFrom(900, rows+20)), 0o600))
		require.Eventually(t, read, time.Minute, time.Millisecond)
		assert.Equal(t, rowsFrom(0, rows)+rowsFrom(900, rows+20), string(got))
	}
}

// TestFileRotatedByAnother: who rotates the log begins the next one as well, and tells its
// writer some time later. Until that has written to the next, it has the old one open.
func TestFileRotatedByAnother(t *testing.T) {
	t.Parallel()
	log := newLog(t, rowsFrom(0, 5))
	s := openStepwise(t, log)
	s.read(2)
	require.NoError(t, os.Rename(log.path, log.path+".1"))
	log.add("")
	s.read(4)
	logFile{t, log.path + ".1"}.add(rowsFrom(5, 1))
	log.add(rowsFrom(6, 1))
	s.read(6)
	assert.Equal(t, rowsFrom(0, 7), s.got)
	assert.Len(t, s.marks, 1)
}
