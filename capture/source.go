package capture

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"syscall"
	"time"
)

// Source is where lines come from, and how Run is to treat it.
type Source struct {
	Name string // as the user knows it, for messages

	// Open opens it once. Run calls it again after every loss, so a stable name
	// is looked up anew each time.
	Open func(ctx context.Context) (Stream, error)

	Midway  bool          // a stream of it may begin inside a line; one that knows better says so, see entered
	Ends    bool          // the end of its stream is the end of the source: do not open it again
	Strict  bool          // if it cannot be opened the first time, Run returns instead of trying on
	Quiet   time.Duration // after so long without a byte a line without an end is closed; 0: never
	Silence time.Duration // after so long without a byte, or three usual intervals, it is opened anew; 0: never
	Wakes   bool          // it is opened anew when the host has slept: an adapter may have lost its power meanwhile
	Retry   Retry         // the zero value means the usual one

	Expect *regexp.Regexp // a line of the device that is meant matches it, among its first; nil: any device

	Warning string // what the user should know before the night; empty: nothing
	Hint    string // what to suspect when it is lost again and again soon after opening
}

// Stream is an open source. It has no way to write: amphora only listens.
//
// Read gives what there is and returns within a tick (a quarter of a second)
// even if nothing came, then as 0 bytes without an error, so that the one
// goroutine that uses the stream can also watch the clock and the context. An
// error that is a Remark is none: the stream goes on. Any other error means the
// source is lost. String says what was opened, such as the device behind a
// stable name.
type Stream interface {
	io.ReadCloser
	fmt.Stringer
}

// entered is a stream that knows itself whether it begins inside a line.
type entered interface{ midway() bool }

// Remark is what a stream has to say besides its bytes: it becomes a Marked
// frame. After a Remark with Anew set what follows begins with a whole line, as
// when a file was rotated.
type Remark struct {
	Text string
	Anew bool
}

// Error makes a Remark fit where Read returns it.
func (r Remark) Error() string { return r.Text }

// ErrEnded is what Run returns when a source that cannot come back has ended.
var ErrEnded = errors.New("the source has ended")

// tick is how long a Read waits for bytes.
const tick = 250 * time.Millisecond

// quietLine is how long a meter may pause inside a line. One that never ends
// its lines is read by its pauses.
const quietLine = 2 * time.Second

// deadlined is a file or connection whose Read can be given a time limit.
type deadlined interface {
	io.Reader
	SetReadDeadline(time.Time) error
}

// readTick reads for one tick at most, and takes "nothing yet" for no error.
func readTick(from deadlined, p []byte) (int, error) { return readWithin(from, p, tick) }

// readWithin reads what comes within a time, and takes "nothing yet" for no error.
func readWithin(from deadlined, p []byte, within time.Duration) (int, error) {
	if err := from.SetReadDeadline(time.Now().Add(within)); err != nil && !errors.Is(err, os.ErrNoDeadline) {
		return 0, err
	}
	n, err := from.Read(p)
	switch {
	case errors.Is(err, os.ErrDeadlineExceeded), errors.Is(err, syscall.EINTR):
		return n, nil
	case errors.Is(err, syscall.EAGAIN): // this system cannot wait for it
		time.Sleep(within)
		return n, nil
	}
	return n, err
}

// Retry says how often a lost source is tried.
type Retry struct {
	Every time.Duration // at first: 1 s
	Later time.Duration // once it has been away for long: 5 s
	Long  time.Duration // which is this: 10 min
}

// after is the pause before the next try, for a source that has been away so long.
func (r Retry) after(away time.Duration) time.Duration {
	if r == (Retry{}) {
		r = Retry{Every: time.Second, Later: 5 * time.Second, Long: 10 * time.Minute}
	}
	if away < r.Long {
		return r.Every
	}
	return r.Later
}
