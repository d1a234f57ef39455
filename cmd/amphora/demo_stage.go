package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"amphora/analyze/madeup"
	"amphora/capture"
)

// stage is where a made-up charger plays.
type stage interface {
	io.Closer
	name() string
	remark() string // what is not as one expects, in a sentence; empty otherwise
	source() (capture.Source, error)
	play(ctx context.Context, n madeup.Night, speed float64) error
}

// openStage opens a pseudo-terminal, or where none can be had (some systems have
// none, some containers allow none) a TCP port.
func openStage() (stage, error) {
	terminal, err := openTerminal()
	if err != nil {
		return openBridge(err)
	}
	return terminal, nil
}

// playLines writes a night's lines at their time, many at once where they come
// faster than a terminal line takes.
func playLines(ctx context.Context, w io.Writer, n madeup.Night, speed float64) error {
	began := time.Now()
	for at, line := range n.Lines() {
		due := began.Add(time.Duration(at / speed * float64(time.Second)))
		if wait := time.Until(due); wait > 0 {
			select {
			case <-ctx.Done():
				return nil
			case <-time.After(wait):
			}
		}
		if ctx.Err() != nil {
			return nil
		}
		if _, err := io.WriteString(w, line+"\r\n"); err != nil {
			return fmt.Errorf("playing the night: %w", err)
		}
	}
	return nil
}
