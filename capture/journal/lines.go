package journal

import (
	"bytes"
	"errors"
	"io"
)

// lineReader cuts a segment into lines without copying them.
type lineReader struct {
	src        io.Reader
	buf        []byte
	r, w       int
	offset     int64 // of buf[r] in the segment's text
	ended      bool  // src has no more
	lineOffset int64 // where the line that next returned began
	unfinished bool  // that line had no end
}

// The buffer grows from the first to the last of these as lines demand.
const (
	lineBufferMin = 32 << 10
	lineBufferMax = 3 * maxLine
)

func (l *lineReader) reset(src io.Reader) {
	if l.buf == nil {
		l.buf = make([]byte, lineBufferMin)
	}
	*l = lineReader{src: src, buf: l.buf}
}

// next returns the next line without its end, valid until the next call, or
// io.EOF. What is far longer than any record comes in pieces, flagged unfinished,
// as does a line that the segment's end cuts short.
func (l *lineReader) next() ([]byte, error) {
	searched := 0
	for {
		have := l.buf[l.r:l.w]
		if i := bytes.IndexByte(have[searched:], '\n'); i >= 0 {
			return l.take(searched+i, 1), nil
		}
		searched = len(have)
		if searched > 2*maxLine {
			// A record may stand at the end of what is no record.
			return l.take(searched-maxLine, 0), nil
		}
		if l.ended && searched > 0 {
			return l.take(searched, 0), nil
		}
		if l.ended {
			l.lineOffset, l.unfinished = l.offset, false
			return nil, io.EOF
		}
		if err := l.fill(); err != nil {
			return nil, err
		}
	}
}

func (l *lineReader) take(n, end int) []byte {
	line := l.buf[l.r : l.r+n]
	l.lineOffset, l.unfinished = l.offset, end == 0
	l.r += n + end
	l.offset += int64(n + end)
	return line
}

func (l *lineReader) fill() error {
	if l.r > 0 {
		l.w = copy(l.buf, l.buf[l.r:l.w])
		l.r = 0
	}
	if l.w == len(l.buf) {
		l.buf = append(l.buf, make([]byte, min(len(l.buf), lineBufferMax-len(l.buf)))...)
	}
	n, err := l.src.Read(l.buf[l.w:])
	l.w += n
	if errors.Is(err, io.EOF) {
		l.ended, err = true, nil
	}
	return err
}
