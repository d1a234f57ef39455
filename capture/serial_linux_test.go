package capture

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// meter is the far end of a pseudo-terminal: what it writes amphora reads.
type meter struct {
	t      *testing.T
	master *os.File
	device string
	held   *os.File // the slave, held so that the line stays while nobody reads it
}

// newMeter makes a line that is raw from the start: a new one would echo.
func newMeter(t *testing.T) *meter {
	t.Helper()
	master, slave, err := pty.Open()
	require.NoError(t, err)
	raw, err := unix.IoctlGetTermios(int(slave.Fd()), unix.TCGETS)
	require.NoError(t, err)
	raw.Lflag &^= unix.ECHO | unix.ICANON
	raw.Oflag &^= unix.OPOST
	raw.Iflag &^= unix.ICRNL
	require.NoError(t, unix.IoctlSetTermios(int(slave.Fd()), unix.TCSETS, raw))
	m := &meter{t: t, master: master, device: slave.Name(), held: slave}
	t.Cleanup(m.pull)
	return m
}

func (m *meter) say(text string) {
	m.t.Helper()
	_, err := m.master.WriteString(text)
	require.NoError(m.t, err)
}

// heard is what was written to the meter so far. The kernel delivers in its own
// time, so a last byte is sent after it, and waited for.
func (m *meter) heard() string {
	m.t.Helper()
	_, err := m.held.WriteString("|")
	require.NoError(m.t, err)
	var all []byte
	for block := make([]byte, 100); !bytes.HasSuffix(all, []byte("|")); {
		n, err := m.master.Read(block)
		require.NoError(m.t, err)
		all = append(all, block[:n]...)
	}
	return string(all[:len(all)-1])
}

// exclusive tells whether the line is kept for whoever has it open.
func (m *meter) exclusive() bool {
	m.t.Helper()
	on, err := unix.IoctlGetInt(int(m.held.Fd()), unix.TIOCGEXCL)
	require.NoError(m.t, err)
	return on != 0
}

// plugIn lets a stable name lead to the meter.
func (m *meter) plugIn(link string) {
	m.t.Helper()
	require.NoError(m.t, os.Symlink(m.device, link+".new"))
	require.NoError(m.t, os.Rename(link+".new", link))
}

// pull is the plug coming out.
func (m *meter) pull() {
	m.held.Close()
	m.master.Close()
}

func TestSerialReadsAndNeverWrites(t *testing.T) {
	m := newMeter(t)
	src, err := Serial{Port: m.device, Baud: 115200, DTR: new(bool), RTS: new(bool)}.Source()
	l := listenTo(t, src, err)
	l.wait(Opened, 1)
	m.say("half\r\n13.8\x00\xff\r\n13.9\r14.0\n")
	assert.Equal(t, []string{"13.8\x00\xff", "13.9", "14.0"}, l.wait(0, 3))
	assert.Equal(t, []string{"half"}, l.texts(Fragment))
	assert.Empty(t, m.heard())
	assert.ErrorIs(t, l.end(), context.Canceled)
	assert.Empty(t, m.heard(), "nothing was ever written to the line")

	_, err = m.held.WriteString("x")
	require.NoError(t, err)
	assert.Equal(t, "x", m.heard(), "it would have been counted")
}

func TestSerialSetsTheLine(t *testing.T) {
	m := newMeter(t)
	before, err := unix.IoctlGetTermios(int(m.held.Fd()), unix.TCGETS)
	require.NoError(t, err)
	before.Cflag |= unix.HUPCL // as a serial port has it, and a pseudo-terminal has not
	require.NoError(t, unix.IoctlSetTermios(int(m.held.Fd()), unix.TCSETS, before))
	src, err := Serial{Port: m.device, Baud: 2400, Bits: 7, Parity: "even", Stop: "2"}.Source()
	require.NoError(t, err)
	assert.Contains(t, src.Hint, "brltty")
	stream, err := src.Open(context.Background())
	require.NoError(t, err)
	defer stream.Close()
	line, err := unix.IoctlGetTermios(int(m.held.Fd()), unix.TCGETS)
	require.NoError(t, err)
	assert.EqualValues(t, unix.B2400, line.Cflag&unix.CBAUD)
	assert.NotZero(t, line.Cflag&unix.CSTOPB)
	assert.Zero(t, line.Cflag&unix.HUPCL, "DTR stays at closing")
	assert.Zero(t, line.Lflag&(unix.ICANON|unix.ECHO))
	assert.Equal(t, m.device+", 2400 7E2", stream.String())
}

func TestSerialIsTakenForOneProgram(t *testing.T) {
	m := newMeter(t)
	src, err := Serial{Port: m.device}.Source()
	require.NoError(t, err)
	stream, err := src.Open(context.Background())
	require.NoError(t, err)
	_, err = src.Open(context.Background())
	require.ErrorIs(t, err, errBusy)
	assert.Contains(t, err.Error(), fmt.Sprintf("process %d", os.Getpid()), "the holder is named")
	assert.True(t, m.exclusive(), "nor may one that asks for no lock, unless it is root")
	require.NoError(t, stream.Close())
	assert.False(t, m.exclusive())
	again, err := src.Open(context.Background())
	require.NoError(t, err, "and given back")
	require.NoError(t, again.Close())
}

func TestSerialStreamCannotWrite(t *testing.T) {
	m := newMeter(t)
	src, err := Serial{Port: m.device}.Source()
	require.NoError(t, err)
	stream, err := src.Open(context.Background())
	require.NoError(t, err)
	defer stream.Close()
	_, err = unix.Write(int(stream.(*port).file.Fd()), []byte("x"))
	assert.ErrorIs(t, err, unix.EBADF, "the descriptor itself is for reading only")
	flags, err := unix.FcntlInt(stream.(*port).file.Fd(), unix.F_GETFD, 0)
	require.NoError(t, err)
	assert.NotZero(t, flags&unix.FD_CLOEXEC, "commands that are started do not get it")
}

// TestSerialReplug pulls the plug a hundred times. Each time the adapter comes
// back under another number, behind the same stable name.
func TestSerialReplug(t *testing.T) {
	link := filepath.Join(t.TempDir(), "by-id")
	m := newMeter(t)
	m.plugIn(link)
	src, err := Serial{Port: link}.Source()
	src.Retry = Retry{Every: 2 * time.Millisecond, Long: time.Hour}
	l := listenTo(t, src, err)
	l.wait(Opened, 1)
	descriptors := openFiles(t)
	before := ""
	for i := range 100 {
		m.say(fmt.Sprintf("x\n13.8,%d\n", i))
		l.wait(0, i+1) // the kernel throws away what was not read before the plug is pulled
		assert.Empty(t, m.heard())
		before = m.device
		next := newMeter(t) // while the old one is there, so that it gets another number
		require.NotEqual(t, before, next.device)
		require.NoError(t, os.Remove(link))
		m.pull()
		l.wait(Lost, i+1)
		m = next
		m.plugIn(link)
		l.wait(Opened, i+2)
	}
	lines := l.texts(0)
	for i, line := range lines {
		assert.Equal(t, fmt.Sprintf("13.8,%d", i), line)
	}
	assert.Contains(t, l.texts(Opened)[100], m.device, "the mark names the device of today")
	assert.Contains(t, l.texts(Lost)[0], "gone")
	assert.Equal(t, descriptors, openFiles(t))
}

func openFiles(t *testing.T) int {
	t.Helper()
	entries, err := os.ReadDir("/proc/self/fd")
	require.NoError(t, err)
	return len(entries)
}

func TestSerialAbsentIsAState(t *testing.T) {
	src, err := Serial{Port: filepath.Join(t.TempDir(), "none")}.Source()
	l := listenTo(t, src, err)
	assert.Contains(t, l.wait(Lost, 1)[0], "`amphora ports`")
	assert.ErrorIs(t, l.end(), context.Canceled)
}

func TestSerialRefusesWhatIsNoPort(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	src, err := Serial{Port: path}.Source()
	require.NoError(t, err)
	_, err = src.Open(context.Background())
	assert.ErrorContains(t, err, "no serial port")
}

func TestSerialSettingsAreChecked(t *testing.T) {
	for _, c := range []struct {
		set  Serial
		want string
	}{
		{Serial{}, "no port"},
		{Serial{Port: "p", Parity: "strange"}, "want none, odd"},
		{Serial{Port: "p", Stop: "3"}, "want 1, 1.5 or 2"},
		{Serial{Port: "p", Bits: 9}, "want 5 to 8"},
		{Serial{Port: "p", Baud: -1}, "baud"},
	} {
		_, err := c.set.Source()
		assert.ErrorContains(t, err, c.want)
	}
	assert.Empty(t, Serial{Port: "/dev/serial/by-id/usb-a"}.warning())
	assert.Empty(t, Serial{Port: "/dev/ttyS0"}.warning())
	assert.Contains(t, Serial{Port: "/dev/ttyUSB0"}.warning(), "another adapter")
}

func TestExplainPermission(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ttyUSB0")
	require.NoError(t, os.WriteFile(path, nil, 0o000))
	err := explain(path, &os.PathError{Op: "open", Path: path, Err: unix.EACCES})
	assert.ErrorIs(t, err, os.ErrPermission)
	user := userName(os.Geteuid())
	for _, part := range []string{path, "belongs to " + user + ":", "mode ----------", "this is " + user} {
		assert.Contains(t, err.Error(), part)
	}
	assert.Contains(t, Access{Owner: "root", Group: "dialout", Mode: "crw-rw----", User: "pi", groupMay: true}.advice("/dev/ttyUSB0"), "usermod -aG dialout pi")
	assert.Contains(t, Access{Owner: "root", Group: "root", Mode: "crw-------", User: "pi"}.advice("/dev/ttyUSB0"), "udev")
	assert.ErrorContains(t, explain("p", unix.EPERM), "DeviceAllow=")
	assert.ErrorIs(t, explain("p", unix.EBUSY), errBusy)
	assert.NotContains(t, explain("p", unix.EIO).Error(), "permission")
}

func TestExplainPermissionOfALog(t *testing.T) {
	path := filepath.Join(t.TempDir(), "meter.csv")
	require.NoError(t, os.WriteFile(path, nil, 0o640))
	require.NoError(t, os.Chmod(path, 0o640))
	denied := &os.PathError{Op: "open", Path: path, Err: unix.EACCES}
	err := explainFile(path, denied)
	assert.ErrorIs(t, err, os.ErrPermission)
	user := userName(os.Geteuid())
	for _, part := range []string{path + " belongs to " + user + ":", "mode -rw-r-----", "this is " + user} {
		assert.Contains(t, err.Error(), part)
	}
	assert.ErrorContains(t, explainFile(filepath.Join(path, "none"), denied), "cannot be seen by "+user)
	assert.Equal(t, os.ErrNotExist, explainFile(path, os.ErrNotExist))

	if os.Geteuid() == 0 {
		return // may open all
	}
	require.NoError(t, os.Chmod(path, 0))
	src, err := File{Path: path}.Source()
	require.NoError(t, err)
	_, err = src.Open(t.Context())
	assert.ErrorContains(t, err, "belongs to "+user)
}
