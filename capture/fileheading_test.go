package capture

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// heading is what every log of some meters begins with: a page of what was set, and the
// names of the columns.
var heading = strings.Repeat("# what was set, and who was there when it was\n", 20) + "row,volts\n"

// TestFileBegunAnewUnderALongHeading: while nobody listened the log was written anew, and
// has grown longer than it was.
func TestFileBegunAnewUnderALongHeading(t *testing.T) {
	t.Parallel()
	log := newLog(t, heading+rowsFrom(0, 20))
	var s saved
	l := follow(t, File{Path: log.path, Save: s.save})
	l.wait(0, 41)
	require.Eventually(t, func() bool { return s.offset() == int64(len(heading+rowsFrom(0, 20))) }, time.Minute, time.Millisecond)
	l.end()
	anew := heading + rowsFrom(900, 40)
	require.NoError(t, os.WriteFile(log.path, []byte(anew), 0o600))
	assert.Equal(t, anew, strings.Join(follow(t, File{Path: log.path, Resume: s.at}).wait(0, 61), "\n")+"\n")
}

// TestFileRotatedTwiceUnderALongHeading: the log between is no copy of its neighbours.
func TestFileRotatedTwiceUnderALongHeading(t *testing.T) {
	t.Parallel()
	log := newLog(t, heading+rowsFrom(0, 20))
	s := openStepwise(t, log)
	s.read(1)
	put := func(name string, from int, later time.Duration) {
		require.NoError(t, os.WriteFile(name, []byte(heading+rowsFrom(from, 20)), 0o600))
		at := time.Now().Add(later)
		require.NoError(t, os.Chtimes(name, at, at))
	}
	require.NoError(t, os.Rename(log.path, log.path+".2"))
	put(log.path+".1", 100, time.Minute)
	put(log.path, 200, time.Hour)
	s.read(10)
	assert.Equal(t, heading+rowsFrom(0, 20)+heading+rowsFrom(100, 20)+heading+rowsFrom(200, 20), s.got)
}

// TestFileCutBesideAnOlderLogUnderALongHeading: that one is no copy of the log that was cut.
func TestFileCutBesideAnOlderLogUnderALongHeading(t *testing.T) {
	t.Parallel()
	log := newLog(t, heading+rowsFrom(0, 20))
	require.NoError(t, os.WriteFile(log.path+".old", []byte(heading+rowsFrom(500, 90)), 0o600))
	s := openStepwise(t, log)
	s.read(2)
	require.NoError(t, os.WriteFile(log.path, []byte(heading+rowsFrom(900, 2)), 0o600))
	s.read(4)
	assert.Equal(t, heading+rowsFrom(0, 20)+heading+rowsFrom(900, 2), s.got)
}
