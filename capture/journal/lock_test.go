package journal

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestASecondWriterIsToldWhoIsFirst(t *testing.T) {
	dir := t.TempDir()
	first, err := Open(dir, Options{Log: quiet()})
	require.NoError(t, err)
	_, err = Open(dir, Options{Log: quiet()})
	var inUse *InUseError
	require.ErrorAs(t, err, &inUse)
	assert.Equal(t, filepath.Join(dir, lockName), inUse.Path)
	assert.Contains(t, inUse.Holder, fmt.Sprintf("process %d since 20", os.Getpid()))
	assert.ErrorContains(t, err, inUse.Holder)
	closeJournal(t, first)

	second, err := Open(dir, Options{Log: quiet()})
	require.NoError(t, err, "the lock ends with its holder")
	closeJournal(t, second)
}

func TestALockWithoutTextNamesNobody(t *testing.T) {
	assert.ErrorContains(t, &InUseError{Path: "x"}, "another process")
}

// A disk without locks, as some on a network, is not one that another process has.
func TestADiskWithoutLocks(t *testing.T) {
	err := notLocked("x", syscall.ENOSYS)
	var inUse *InUseError
	assert.NotErrorAs(t, err, &inUse)
	assert.ErrorIs(t, err, syscall.ENOSYS)
	assert.ErrorContains(t, err, "x cannot be locked")
	assert.ErrorAs(t, notLocked("x", errHeld), &inUse)
}

func TestAFolderThatCannotBeUsed(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err := Open(file, Options{Log: quiet()})
	assert.ErrorContains(t, err, "data folder")
	_, err = Verify(file)
	assert.ErrorContains(t, err, "channels")
}

// The whole way on the machine's own file system.
func TestOnARealDisk(t *testing.T) {
	dir := t.TempDir()
	for run := range 3 {
		j, err := Open(dir, Options{Log: quiet(), SegmentBytes: 2000})
		require.NoError(t, err)
		c, err := j.Channel("left bench", 0)
		require.NoError(t, err)
		for i := range 100 {
			assert.EqualValues(t, run*100+i+1, c.Append(lineFrame(run*100+i+1)))
			if i%10 == 0 {
				require.NoError(t, c.Sync(context.Background()))
			}
		}
		closeJournal(t, j)
	}
	names, err := Channels(dir)
	require.NoError(t, err)
	assert.Equal(t, []string{"left bench"}, names)
	segs, err := listSegments(osFS{}, dir, "left bench")
	require.NoError(t, err)
	assert.Greater(t, len(segs), 3)
	reports, err := Verify(dir)
	require.NoError(t, err)
	var n uint64
	for _, rep := range reports {
		assert.Empty(t, rep.Damage)
		assert.Positive(t, rep.Bytes)
		n += rep.Records
	}
	assert.EqualValues(t, 300, n)
	assert.Equal(t, segs[0], reports[0].Segment)

	last := segs[len(segs)-1].Path
	require.NoError(t, os.WriteFile(filepath.Join(filepath.Dir(last), "x.log.new"), nil, 0o600))
	f, err := os.OpenFile(last, os.O_APPEND|os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = f.WriteString("half a rec")
	require.NoError(t, err)
	require.NoError(t, f.Close())
	size, err := osFS{}.Size(last)
	require.NoError(t, err)
	j, err := Open(dir, Options{Log: quiet()})
	require.NoError(t, err)
	_, err = j.Channel("left bench", 0)
	require.NoError(t, err)
	closeJournal(t, j)
	torn, err := os.ReadFile(fmt.Sprintf("%s.torn-%d", last, size-10))
	require.NoError(t, err)
	assert.Equal(t, "half a rec", string(torn))
	assert.NoFileExists(t, filepath.Join(filepath.Dir(last), "x.log.new"))
	cutSize, err := osFS{}.Size(last)
	require.NoError(t, err)
	assert.Equal(t, size-10, cutSize)

	free, err := osFS{}.Free(dir)
	require.NoError(t, err)
	assert.Positive(t, free)
}
