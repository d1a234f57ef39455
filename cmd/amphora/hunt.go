package main

import (
	"context"
	"fmt"
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
	mostWait = 24 * time.Hour
)

// attempt is what was heard at one line rate.
type attempt struct {
	Baud  int    `json:"baud"` // 0: the source has none, or its own
	Bytes int    `json:"bytes"`
	Lines int    `json:"lines"`
	Heard string `json:"heard"`
}

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

func isPort(spec string) bool { return strings.HasPrefix(spec, "serial:") || capture.IsPort(spec) }
