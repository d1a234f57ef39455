//go:build unix

package capture

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFIFOOutlivesItsWriters(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "pipe")
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	l := follow(t, File{Path: path})
	l.wait(Opened, 1)
	for i, text := range []string{"a\nb", "c\n", "d\n"} {
		writer, err := os.OpenFile(path, os.O_WRONLY, 0)
		require.NoError(t, err)
		_, err = writer.WriteString(text)
		require.NoError(t, err)
		require.NoError(t, writer.Close())
		l.wait(Marked, i+1)
	}
	assert.Equal(t, []string{"a", "c", "d"}, l.texts(0))
	assert.Equal(t, []string{"b"}, l.texts(Fragment), "what one writer left is not glued to the next")
	assert.Empty(t, l.texts(Lost))
}

// Whoever holds a pipe open while its readers come and go may be in the middle of a line,
// half of which the last one has read.
func TestFIFOEnteredInsideALine(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "pipe")
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	writer, err := os.OpenFile(path, os.O_RDWR, 0)
	require.NoError(t, err)
	write := func(text string) {
		_, err := writer.WriteString(text)
		require.NoError(t, err)
	}
	l := follow(t, File{Path: path})
	l.wait(Opened, 1)
	write("a,1\nb")
	assert.Equal(t, []string{"a,1"}, l.wait(Fragment, 1), "so may be the first line of all")
	l.end()
	for _, late := range []bool{true, false} {
		if !late {
			write(",2\nc,3\nd")
		}
		l = follow(t, File{Path: path})
		l.wait(Opened, 1)
		if late {
			write(",2\nc,3\nd")
		}
		l.wait(0, 1)
		l.end()
		assert.Equal(t, []string{"c,3"}, l.texts(0))
		assert.Equal(t, []string{",2", "d"}, l.texts(Fragment))
	}
	require.NoError(t, writer.Close())
	l = follow(t, File{Path: path})
	l.wait(Opened, 1)
	writer, err = os.OpenFile(path, os.O_WRONLY, 0)
	require.NoError(t, err)
	write("e,4\n")
	require.NoError(t, writer.Close())
	assert.Equal(t, []string{"e,4"}, l.wait(0, 1), "nobody was there before us")
}

func TestStdinEnds(t *testing.T) {
	t.Parallel()
	in, out, err := os.Pipe()
	require.NoError(t, err)
	l := listenTo(t, Stdin(in), nil)
	_, err = out.WriteString("a\nb")
	require.NoError(t, err)
	l.wait(0, 1)
	require.NoError(t, out.Close())
	assert.ErrorIs(t, <-l.done, ErrEnded)
	l.done <- nil
	assert.Equal(t, []string{"b"}, l.texts(Fragment))
	assert.Equal(t, []string{"ended"}, l.texts(Lost))
}

func TestStdinStopsWhileItWaits(t *testing.T) {
	t.Parallel()
	in, out, err := os.Pipe()
	require.NoError(t, err)
	defer out.Close()
	l := listenTo(t, Stdin(in), nil)
	l.wait(Opened, 1)
	assert.Error(t, l.end())
}

func command(t *testing.T, args ...string) *listening {
	t.Helper()
	src, err := Command{Args: args}.Source()
	src.Retry = Retry{Every: time.Millisecond, Long: time.Hour}
	return listenTo(t, src, err)
}

func TestCommandIsStartedAgain(t *testing.T) {
	t.Parallel()
	l := command(t, "sh", "-c", "echo 13.8; echo low >&2; exit 3")
	assert.Equal(t, []string{"13.8", "13.8"}, l.wait(0, 2)[:2])
	reason := l.wait(Lost, 2)[0]
	assert.Contains(t, reason, "exit status 3")
	said := strings.Join(append(l.texts(Marked), reason), " ")
	assert.Contains(t, said, "low", "standard error is a remark, or the reason of the end")
}

func TestCommandComplaintsAreMarks(t *testing.T) {
	t.Parallel()
	l := command(t, "sh", "-c", "printf 13.; echo weak battery >&2; sleep 0.3; echo 8; sleep 60")
	assert.Equal(t, []string{"13.8"}, l.wait(0, 1))
	assert.Equal(t, []string{"stderr: weak battery"}, l.wait(Marked, 1))
}

func TestCommandDiesWithWhatItStarted(t *testing.T) {
	t.Parallel()
	l := command(t, "sh", "-c", "sleep 600 & echo $!; sleep 600")
	grandchild, err := strconv.Atoi(l.wait(0, 1)[0])
	require.NoError(t, err)
	require.NoError(t, syscall.Kill(grandchild, 0), "it lives")
	assert.Error(t, l.end())
	assert.Eventually(t, func() bool { return ended(grandchild) }, time.Minute, time.Millisecond)
}

// ended says whether a process is gone, or waits only to be buried.
func ended(pid int) bool {
	if errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) {
		return true
	}
	stat, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	return err == nil && strings.Contains(string(stat), ") Z ")
}

func TestCommandThatClosesItsOutputIsEnded(t *testing.T) {
	t.Parallel()
	l := command(t, "sh", "-c", "echo a; exec >&-; exec 2>&-; sleep 600")
	assert.Contains(t, l.wait(Lost, 1)[0], "killed")
}

func TestCommandHasNoShell(t *testing.T) {
	t.Parallel()
	made := filepath.Join(t.TempDir(), "made")
	l := command(t, "echo", "$(touch "+made+")", ";touch "+made)
	assert.Equal(t, "$(touch "+made+") ;touch "+made, l.wait(0, 1)[0])
	assert.NoFileExists(t, made)
}

func TestCommandMissingIsAState(t *testing.T) {
	t.Parallel()
	l := command(t, filepath.Join(t.TempDir(), "none"))
	assert.Contains(t, l.wait(Lost, 1)[0], "no such file")
	_, err := Command{}.Source()
	assert.ErrorContains(t, err, "no program")
}

func TestComplaintsAreBounded(t *testing.T) {
	t.Parallel()
	var c complaints
	flood := strings.Repeat("x", 3*complaintsMost)
	n, err := c.Write([]byte(flood))
	require.NoError(t, err)
	assert.Equal(t, len(flood), n, "the command is not stopped")
	assert.Len(t, c.next(), complaintsMost)
	_, err = c.Write([]byte("again\nand"))
	require.NoError(t, err)
	assert.Equal(t, "again", c.next())
	assert.Empty(t, c.next())
	assert.Equal(t, "; it said: and", c.last())
}

// A program that makes the pipe anew at each start writes into that, and nobody would ever
// listen who keeps the old one.
func TestFIFOMadeAnew(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "pipe")
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	l := follow(t, File{Path: path})
	l.wait(Opened, 1)
	for i, text := range []string{"a\n", "b\n"} {
		require.NoError(t, os.Remove(path))
		l.wait(Lost, i+1)
		require.NoError(t, syscall.Mkfifo(path, 0o600))
		l.wait(Opened, i+2)
		writer, err := os.OpenFile(path, os.O_WRONLY, 0)
		require.NoError(t, err)
		_, err = writer.WriteString(text)
		require.NoError(t, err)
		require.NoError(t, writer.Close())
		l.wait(0, i+1)
	}
	assert.Equal(t, []string{"a", "b"}, l.texts(0))
}

// A command that complains without an end is heard all the same, and so are its complaints.
func TestComplaintsWithoutEndHoldUpNoReading(t *testing.T) {
	t.Parallel()
	r, w := io.Pipe()
	s := &running{pump: newPump(r)}
	defer s.pump.Close()
	go func() {
		for n := range 5 {
			fmt.Fprintf(w, "%d\n", n)
		}
	}()
	var got string
	said := 0
	block := make([]byte, 64)
	for range 10_000 {
		_, _ = s.complaints.Write([]byte("weak battery\n"))
		n, err := s.Read(block)
		if got += string(block[:n]); err != nil {
			require.ErrorAs(t, err, new(Remark))
			said++
			time.Sleep(time.Microsecond) // for who writes the readings
		}
		if len(got) == len("0\n1\n2\n3\n4\n") {
			break
		}
	}
	assert.Equal(t, "0\n1\n2\n3\n4\n", got)
	assert.GreaterOrEqual(t, said, 5)
}
