package capture

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"amphora/capture/query"
)

// line is an open way to a meter that has to be asked. What can be sent over it
// is a Query and nothing else.
type line interface {
	// read gives what comes within a time: 0 bytes without an error if nothing does.
	read(p []byte, within time.Duration) (int, error)
	ask(q query.Query) error
	io.Closer
	fmt.Stringer
}

// askWithin is how long a question may take to be sent. It is short, and only a
// line whose other end is stuck takes it longer.
const askWithin = tick

// timed is a file or connection whose waits can be ended.
type timed interface {
	io.ReadWriteCloser
	SetReadDeadline(time.Time) error
	SetWriteDeadline(time.Time) error
}

// timedLine is a line over one.
type timedLine struct {
	over timed
	text string
}

func (l timedLine) read(p []byte, within time.Duration) (int, error) {
	n, err := readWithin(l.over, p, within)
	if errors.Is(err, io.EOF) {
		return n, errors.New("the meter is gone: its end of the line was closed")
	}
	return n, err
}

func (l timedLine) ask(q query.Query) error {
	if err := l.over.SetWriteDeadline(time.Now().Add(askWithin)); err != nil {
		return err
	}
	return q.Send(l.over)
}

func (l timedLine) Close() error   { return l.over.Close() }
func (l timedLine) String() string { return l.text }

// asked makes a source of the way to a meter, serial or tcp. talk makes a stream
// of each line that is opened.
func asked(s *Serial, t *TCP, talk func(line) Stream) (Source, error) {
	var src Source
	var open func(context.Context) (line, error)
	var err error
	switch {
	case s != nil && t == nil:
		src, err = s.Source()
		open = s.line
	case t != nil && s == nil:
		src, err = t.Source()
		open = t.line
	default:
		return Source{}, errors.New("want exactly one of serial and tcp")
	}
	if err != nil {
		return Source{}, err
	}
	// Lines are put together here, so they are whole, and whoever asks knows
	// himself when an answer is overdue.
	src.Midway, src.Quiet, src.Silence = false, 0, 0
	if src.Expect != nil {
		return Source{}, errors.New("expect is for a device that talks by itself; one that is asked proves itself by its answers")
	}
	src.Open = func(ctx context.Context) (Stream, error) {
		l, err := open(ctx)
		if err != nil {
			return nil, err
		}
		return talk(l), nil
	}
	return src, nil
}

// line opens the port for asking.
func (c *Serial) line(context.Context) (line, error) {
	set := c.withDefaults()
	mode, err := set.mode()
	if err != nil {
		return nil, err
	}
	l, err := set.openLine(mode)
	if err != nil {
		return nil, explain(c.Port, err)
	}
	return l, nil
}

// line connects for asking.
func (c *TCP) line(ctx context.Context) (line, error) {
	conn, err := c.dial(ctx, "the meter")
	if err != nil {
		return nil, err
	}
	return timedLine{conn, "tcp " + conn.RemoteAddr().String()}, nil
}
