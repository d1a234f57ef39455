package capture

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"os"
)

// Behind is the place in the log behind lines that were read of it by somebody who did
// not note the place; ok is false if the log does not begin with them. next gives one
// after the other, and false at their end.
func (c File) Behind(next func() ([]byte, bool)) (at Position, ok bool, err error) {
	file, err := os.Open(c.Path)
	if err != nil {
		return Position{}, false, err
	}
	defer file.Close()
	if at, err = positionOf(file); err != nil {
		return Position{}, false, err
	}
	want, more := next()
	if !more {
		return Position{}, false, nil
	}
	var split Splitter
	from := bufio.NewReaderSize(file, 64<<10)
	one := make([]byte, 1)
	for same := true; more; {
		if one[0], err = from.ReadByte(); errors.Is(err, io.EOF) {
			return Position{}, false, nil
		} else if err != nil {
			return Position{}, false, err
		}
		at.Offset++
		split.Feed(one, func(line []byte, _ Flags) {
			if same = same && more && bytes.Equal(line, want); same {
				want, more = next()
			}
		})
		if !same {
			return Position{}, false, nil
		}
	}
	at.look(headOf(file, at.Offset))
	return at, true, nil
}
