package report

import (
	"bufio"
	"io"

	"amphora/analyze"
)

// Session writes one charge as a short page in plain words, as Text does for
// each charge of a log.
func Session(w io.Writer, s analyze.Session) error {
	b := bufio.NewWriter(w)
	session(b, &s, 1, 1)
	return b.Flush()
}
