//go:build unix

package main

import (
	"context"
	"os"

	"amphora/analyze/madeup"
	"amphora/capture"

	"github.com/creack/pty"
)

// pseudoTerminal is two ends of a line: the night is written to one end, and the daemon
// opens the other as it would a serial port.
type pseudoTerminal struct{ master, slave *os.File }

func openTerminal() (stage, error) {
	master, slave, err := pty.Open()
	if err != nil {
		return nil, err
	}
	return &pseudoTerminal{master, slave}, nil
}

func (t *pseudoTerminal) name() string { return t.slave.Name() }

func (t *pseudoTerminal) remark() string { return "" }

func (t *pseudoTerminal) source() (capture.Source, error) {
	return capture.Serial{Port: t.slave.Name(), Baud: 9600}.Source()
}

func (t *pseudoTerminal) play(ctx context.Context, n madeup.Night, speed float64) error {
	return playLines(ctx, t.master, n, speed)
}

// Close ends both ends.
func (t *pseudoTerminal) Close() error {
	err := t.slave.Close()
	if closed := t.master.Close(); err == nil {
		err = closed
	}
	return err
}
