package query

import (
	"errors"
	"fmt"
	"io"
)

// Query is one question to a meter. The zero value asks nothing.
type Query struct {
	name string // as the user knows it, and as it stands before its answer in the journal
	wire string // as it is sent
}

// String is the question as it stands before its answer in a line of the journal.
func (q Query) String() string { return q.name }

// Send asks. It is the only place from which anything is sent to a meter.
func (q Query) Send(to io.Writer) error {
	if q.wire == "" {
		return errors.New("there is no question to ask")
	}
	if n, err := io.WriteString(to, q.wire); err != nil {
		return fmt.Errorf("ask %s, after %d of %d bytes: %w", q.name, n, len(q.wire), err)
	}
	return nil
}

// Outcome is what the bytes that have come since a question are.
type Outcome int

// The outcomes.
const (
	More    Outcome = iota // nothing whole yet: wait on
	Skip                   // something whole that answers another question, or none: drop it and wait on
	Answer                 // the answer
	Garbled                // bytes that no answer begins with: the exchange has failed
)
