package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"amphora/analyze"
	"amphora/decoders"
)

// tally counts what came of many logs.
type tally struct {
	told   int              // whose result was printed
	found  int              // files of a folder that are no logs, which is no fault
	named  int              // no logs either, but they were asked for
	missed int              // that could not be read at all
	worst  analyze.Severity // of a finding; empty where there is none
}

// fail counts a log without a result and says why.
func (t *tally) fail(w io.Writer, r *judged) {
	switch {
	case !errors.Is(r.err, decoders.ErrUndecodable):
		t.miss(w, r.err)
		return
	case r.name.found:
		t.found++
	default:
		t.named++
	}
	fmt.Fprintln(w, "amphora: passed over", r.err)
}

// tell counts a log whose result was printed.
func (t *tally) tell(d *analyze.Document) {
	t.told++
	for _, s := range d.Sessions {
		for _, f := range s.Findings {
			if f.Severity.Worse(t.worst) {
				t.worst = f.Severity
			}
		}
	}
}

// miss counts what could not be read.
func (t *tally) miss(w io.Writer, err error) {
	t.missed++
	fmt.Fprintln(w, "amphora:", err)
}

// verdict is the error that the whole ends with.
func (t *tally) verdict(args []string, failOn string) error {
	failed := t.named + t.missed
	switch {
	case t.told == 0 && t.missed == 0 && t.named+t.found == 0:
		return fmt.Errorf("a folder without files %w: %s", decoders.ErrUndecodable, strings.Join(args, ", "))
	case t.told == 0 && t.missed == 0:
		return fmt.Errorf("none of %d files is a log: their lines %w", t.named+t.found, decoders.ErrUndecodable)
	case failed > 0:
		return fmt.Errorf("%d of %d logs could not be read", failed, failed+t.told)
	case failOn != "" && !analyze.Severity(failOn).Worse(t.worst):
		return errFound
	}
	return nil
}
