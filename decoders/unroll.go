package decoders

import (
	"bytes"
	"io"
)

// JSON may hold all rows of a log in one line: an array of objects, or of arrays, alone
// or in an object with other things. Unrolled, each row stands on a line of its own.
//
//	{"device":"bench","rows":[{"t":0,"v":12.6},{"t":10,"v":12.7}]}

// Rolled tells from the beginning of a text that is JSON without an end of line for long.
func Rolled(prefix []byte) bool {
	const long = 2048 // bytes
	if bytes.IndexByte(prefix[:min(len(prefix), long)], '\n') >= 0 || len(prefix) < long {
		return false
	}
	text := bytes.TrimLeft(prefix, " \t\r\n")
	return len(text) > 0 && (text[0] == '{' || text[0] == '[')
}

// Unroll gives the text of r with an end of line for each comma between rows, and one
// before the first and after the last.
func Unroll(r io.Reader) io.Reader { return &unroller{r: r, rows: -1} }

type unroller struct {
	r     io.Reader
	in    [4096]byte
	out   []byte // not yet read
	err   error
	depth int  // of brackets and braces
	rows  int  // depth of the list of rows, -1 as long as it is not known
	fresh int  // brackets that were opened one behind the other, with nothing behind yet
	held  bool // the last of them is not written yet
	begin bool // a line has begun with nothing in it
	text  bool // within a string
	after bool // behind a backslash in it
}

func (u *unroller) Read(p []byte) (int, error) {
	for len(u.out) == 0 {
		if u.err != nil {
			return 0, u.err
		}
		n, err := u.r.Read(u.in[:])
		u.err, u.out = err, u.out[:0]
		for _, c := range u.in[:n] {
			u.take(c)
		}
	}
	n := copy(p, u.out)
	u.out = u.out[n:]
	return n, nil
}

// take writes the next byte, and an end of line where a row begins or ends. The list of
// rows is the first whose elements are objects, or arrays of plain values.
func (u *unroller) take(c byte) {
	if u.text {
		u.out = append(u.out, c)
		u.after, u.text = c == '\\' && !u.after, c != '"' || u.after
		return
	}
	if c == ' ' {
		if !u.begin && !u.held {
			u.out = append(u.out, c)
		}
		return
	}
	u.begin = false
	u.find(c)
	switch c {
	case '"':
		u.text = true
	case '[', '{':
		u.depth++
	case ']', '}':
		if u.depth == u.rows {
			u.out = append(u.out, '\n')
		}
		u.depth--
	case ',':
		if u.begin = u.depth == u.rows; u.begin {
			c = '\n'
		}
	}
	switch {
	case c != '[':
		u.fresh = 0
	case u.fresh > 0 && u.rows < 0:
		u.fresh, u.held = u.fresh+1, true
		return
	default:
		u.fresh++
	}
	u.out = append(u.out, c)
}

// find looks whether c, which comes next, shows that the list of rows was opened just now.
func (u *unroller) find(c byte) {
	switch {
	case u.rows >= 0 || u.fresh == 0:
	case c == '{':
		u.rows = u.depth
		u.write()
		u.out = append(u.out, '\n')
	case u.held && c != '[' && c != ']':
		u.rows = u.depth - 1
		u.out = append(u.out, '\n')
		u.write()
	default:
		u.write()
	}
}

// write writes the bracket that was held.
func (u *unroller) write() {
	if u.held {
		u.out, u.held = append(u.out, '['), false
	}
}
