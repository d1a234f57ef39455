package capture

import (
	"errors"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// stepwise is a log that a test reads step by step.
type stepwise struct {
	*followed
	t     *testing.T
	got   string
	marks []string
}

func openStepwise(t *testing.T, log logFile) *stepwise {
	var at Position
	stream, err := File{Path: log.path}.open(&at)
	require.NoError(t, err)
	t.Cleanup(func() { stream.Close() })
	return &stepwise{followed: stream.(*followed), t: t}
}

// take keeps what a read gave.
func (s *stepwise) take(block []byte, n int, err error) {
	s.got += string(block[:n])
	if said, ok := errors.AsType[Remark](err); ok {
		s.marks = append(s.marks, said.Text)
	} else {
		require.NoError(s.t, err)
	}
}

// read reads so often.
func (s *stepwise) read(times int) {
	block := make([]byte, 64<<10)
	for range times {
		n, err := s.Read(block)
		s.take(block, n, err)
	}
}

// TestFileCutBehindARead: what was read before the file was written anew is of the old
// log, and is nowhere else by then; what was read after it is of the new one.
func TestFileCutBehindARead(t *testing.T) {
	t.Parallel()
	for _, before := range []bool{true, false} {
		log := newLog(t, rowsFrom(0, 5))
		s := openStepwise(t, log)
		s.read(1)
		log.add(rowsFrom(5, 2))
		anew := func() { require.NoError(t, os.WriteFile(log.path, []byte(rowsFrom(900, 20)), 0o600)) }
		want := rowsFrom(0, 5) + rowsFrom(900, 20)
		s.saved()
		if !before {
			anew()
		}
		block := make([]byte, 64<<10)
		n, err := s.file.Read(block)
		if before {
			anew()
			want = rowsFrom(0, 7) + rowsFrom(900, 20)
		}
		n, err = s.took(block[:n], err)
		s.take(block, n, err)
		s.read(4)
		assert.Equal(t, want, s.got, "read before: %v", before)
	}
}

// TestFileWrittenAnewInsideALine: nothing but half a line was read of the old log, or half
// a row behind a heading that both have. It is no part of a row of the new one.
func TestFileWrittenAnewInsideALine(t *testing.T) {
	t.Parallel()
	for _, heading := range []string{"", "time,volts\n"} {
		log := newLog(t, heading+"1,1")
		s := openStepwise(t, log)
		s.read(2)
		anew := heading + rowsFrom(900, 20)
		require.NoError(t, os.WriteFile(log.path, []byte(anew), 0o600))
		s.read(4)
		assert.Equal(t, heading+"1,1"+anew, s.got)
		assert.Len(t, s.marks, 1)
	}
}

// TestFileLookedAtWhileItIsWrittenAnew: a program that writes the whole log with each row
// does so in several pieces.
func TestFileLookedAtWhileItIsWrittenAnew(t *testing.T) {
	t.Parallel()
	log := newLog(t, rowsFrom(0, 200))
	s := openStepwise(t, log)
	s.read(2)
	require.NoError(t, os.WriteFile(log.path, []byte(rowsFrom(0, 100)), 0o600))
	s.read(2)
	log.add(rowsFrom(100, 101))
	s.read(2)
	assert.Equal(t, rowsFrom(0, 201), s.got)
	assert.Empty(t, s.marks)
}

// TestFileLookedAtWhileACopyTakesItsPlace: the copy is not there as a whole yet.
func TestFileLookedAtWhileACopyTakesItsPlace(t *testing.T) {
	t.Parallel()
	log := newLog(t, rowsFrom(0, 200))
	s := openStepwise(t, log)
	s.read(2)
	require.NoError(t, os.Rename(log.path, log.path+"~"))
	log.add(rowsFrom(0, 100))
	s.read(5)
	log.add(rowsFrom(100, 101))
	s.read(4)
	assert.Equal(t, rowsFrom(0, 201), s.got)
	assert.Len(t, s.marks, 1)
}

// TestFileRotatedAndHardlyBegun: no more than the heading of all logs comes.
func TestFileRotatedAndHardlyBegun(t *testing.T) {
	t.Parallel()
	log := newLog(t, "time,volts\n"+rowsFrom(0, 20))
	s := openStepwise(t, log)
	s.read(2)
	require.NoError(t, os.Rename(log.path, log.path+".1"))
	log.add("time,volts\n")
	s.read(12)
	assert.Equal(t, "time,volts\n"+rowsFrom(0, 20)+"time,volts\n", s.got)
	assert.Len(t, s.marks, 1)
}

// TestFileCutToABeginningOfItself: no more of it comes, so it was cut.
func TestFileCutToABeginningOfItself(t *testing.T) {
	t.Parallel()
	log := newLog(t, "time,volts\n"+rowsFrom(0, 20))
	s := openStepwise(t, log)
	s.read(2)
	require.NoError(t, os.Truncate(log.path, int64(len("time,volts\n"))))
	s.read(6)
	assert.Equal(t, "time,volts\n"+rowsFrom(0, 20)+"time,volts\n", s.got)
	assert.Len(t, s.marks, 1)
}
