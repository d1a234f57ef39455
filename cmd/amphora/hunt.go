package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"amphora/capture"
	"amphora/decoders"
)

// lineRates are the usual ones, in the order in which they are likely on meters
// and chargers (common practice, no source).
var lineRates = []int{9600, 115200, 4800, 19200, 38400, 57600, 2400, 1200}

const (
	plenty   = 20 // lines that are enough to tell a layout
	patience = 5  // times the usual wait, where there is text but not plenty yet
)

// attempt is what was heard at one line rate.
type attempt struct {
	Baud  int    `json:"baud"` // 0: the source has none, or its own
	Bytes int    `json:"bytes"`
	Lines int    `json:"lines"`
	Heard string `json:"heard"`
}

// heard is what a source sent while it was listened to.
type heard struct {
	lines            [][]byte
	head             []byte // what is left of a header that may be cut
	bytes, printable int
	from, to         time.Duration // since boot, of the first and the last line
}

// text says whether it can be text: a wrong rate gives bytes of all sorts.
func (h *heard) text() bool { return len(h.lines) > 0 && h.printable*100 >= h.bytes*95 }

// listening listens at a rate for so long, or until there are so many lines.
type listening func(ctx context.Context, baud int, wait time.Duration, most int) (heard, error)

// hunt tries line rates until the lines can be decoded. Its patience is bounded
// at each rate; the attempts tell what was tried, also along with an error.
func hunt(ctx context.Context, rates []int, wait time.Duration, listen listening) (*decoders.Fitted, []attempt, error) {
	var tried []attempt
	var unfit error
	for _, baud := range rates {
		h, err := listen(ctx, baud, wait, plenty)
		if err == nil && h.text() && len(h.lines) < plenty {
			var more heard
			more, err = listen(ctx, baud, patience*wait, plenty-len(h.lines))
			h.add(more)
		}
		if err != nil {
			return nil, tried, err
		}
		a := attempt{Baud: baud, Bytes: h.bytes, Lines: len(h.lines)}
		switch {
		case h.bytes == 0:
			a.Heard = "nothing"
		case !h.text():
			a.Heard = "bytes that are no lines of text"
		default:
			f, err := decoders.Fit(h.headed(), decoders.Options{Live: true, Span: (h.to - h.from).Seconds()})
			if err == nil {
				a.Heard = "lines that can be decoded"
				return f, append(tried, a), nil
			}
			a.Heard, unfit = "text that cannot be decoded", err
		}
		tried = append(tried, a)
	}
	if unfit == nil {
		unfit = fmt.Errorf("%w: %s", decoders.ErrUndecodable, summed(tried))
	}
	return nil, tried, unfit
}

// summed says what was tried in vain and what to do.
func summed(tried []attempt) string {
	var parts []string
	total := 0
	for _, a := range tried {
		total += a.Bytes
		if a.Baud == 0 {
			parts = append(parts, a.Heard)
			continue
		}
		parts = append(parts, fmt.Sprintf("%s at %d baud", a.Heard, a.Baud))
	}
	advice := "look at the cable and whether the meter sends by itself, and --listen longer"
	if total > 0 {
		advice = "the meter may use another rate or parity: try PORT?baud=...&bits=7&parity=even"
	}
	return "heard " + strings.Join(parts, ", ") + "; " + advice
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
	h.printable += more.printable
}

// take counts a line; half a line tells nothing but its bytes.
func (h *heard) take(f capture.Frame) {
	h.bytes += len(f.Text)
	for _, c := range f.Text {
		if c >= ' ' && c < 0x7f || c == '\t' {
			h.printable++
		}
	}
	switch {
	case f.Flags&capture.Fragment == 0 && len(f.Text) > 0:
		if h.to = f.Boot; len(h.lines) == 0 {
			h.from = f.Boot
		}
		h.lines = append(h.lines, append([]byte(nil), f.Text...))
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
			if f.Flags&(capture.Opened|capture.Lost|capture.Marked) == 0 {
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

// ratesFor are the line rates to try on a source; none is 0.
func ratesFor(spec string) []int {
	if !isPort(spec) || strings.Contains(spec, "baud=") {
		return []int{0}
	}
	return lineRates
}

// isSource says whether a name means something to listen to, not a log to read.
func isSource(spec string) bool {
	kind, _, colon := strings.Cut(spec, ":")
	return isPort(spec) || colon && (kind == "tcp" || kind == "exec")
}

func isPort(spec string) bool {
	path, _, _ := strings.Cut(spec, "?")
	if strings.HasPrefix(spec, "serial:") || strings.HasPrefix(path, "/dev/tty") || strings.HasPrefix(path, "/dev/serial/") || strings.HasPrefix(path, "/dev/cu.") {
		return true
	}
	info, err := os.Stat(path)
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
