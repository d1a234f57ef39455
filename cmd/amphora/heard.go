package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"amphora/capture"
	"amphora/decoders"
)

// heard is what a source sent while it was listened to.
type heard struct {
	lines    [][]byte
	head     []byte // what is left of a header that may be cut
	bytes    int
	legible  int           // lines
	from, to time.Duration // since boot, of the first and the last line
}

// text says whether it can be text: a wrong rate gives bytes of all sorts. Some meters send
// noise as their port is opened, but no more of it than lines.
func (h *heard) text() bool { return len(h.lines) > 0 && 2*h.legible >= len(h.lines) }

// legible says whether a line is text, in which the signs of degrees and the like may stand.
func legible(line []byte) bool {
	odd := 0
	for _, c := range line {
		if (c < ' ' || c >= 0x7f) && c != '\t' {
			odd++
		}
	}
	return 5*odd <= len(line)
}

// headed are the lines behind what there is of a header.
func (h *heard) headed() [][]byte {
	if h.head == nil {
		return h.lines
	}
	return append([][]byte{h.head}, h.lines...)
}

func (h *heard) add(more heard) {
	if len(more.lines) > 0 {
		h.to = more.to
	}
	h.lines = append(h.lines, more.lines...)
	h.bytes += more.bytes
	h.legible += more.legible
}

// take counts a line; half a line tells nothing but its bytes.
func (h *heard) take(f capture.Frame) {
	h.bytes += len(f.Text)
	switch {
	case f.Flags&capture.Fragment == 0 && len(f.Text) > 0:
		if h.to = f.Boot; len(h.lines) == 0 {
			h.from = f.Boot
		}
		h.lines = append(h.lines, bytes.Clone(f.Text))
		if legible(f.Text) {
			h.legible++
		}
	case len(h.lines) == 0 && h.head == nil:
		h.head = decoders.Remnant(f.Text)
	}
}

var errPlenty = errors.New("heard enough")

// listenTo listens to the source that spec means, at a line rate unless 0.
func listenTo(spec string, progress io.Writer) listening {
	return func(ctx context.Context, baud int, wait time.Duration, most int) (heard, error) {
		var h heard
		at := ""
		if baud > 0 {
			at = fmt.Sprintf(" at %d baud", baud)
		}
		src, err := capture.Parse(withBaud(spec, baud))
		if err != nil {
			return h, usagef("%w", err)
		}
		src.Strict = true
		fmt.Fprintf(progress, "listening to %s%s for up to %s\n", src.Name, at, wait)
		limited, cancel := context.WithTimeout(ctx, wait)
		defer cancel()
		err = capture.Run(limited, src, capture.SystemClock{}, func(f capture.Frame) error {
			if f.Flags&capture.NotLine == 0 {
				h.take(f)
			}
			if len(h.lines) >= most {
				return errPlenty
			}
			return nil
		})
		switch {
		case ctx.Err() != nil:
			return h, ctx.Err()
		case errors.Is(err, errPlenty), errors.Is(err, capture.ErrEnded), limited.Err() != nil:
			return h, nil
		}
		return h, err
	}
}

// withBaud adds a line rate to a source's settings.
func withBaud(spec string, baud int) string {
	if baud == 0 {
		return spec
	}
	mark := "?"
	if strings.Contains(spec, "?") {
		mark = "&"
	}
	return fmt.Sprintf("%s%sbaud=%d", spec, mark, baud)
}
