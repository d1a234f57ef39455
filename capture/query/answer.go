package query

import "bytes"

// longestAnswer bounds what is taken for one line: *IDN? may bring 72 characters,
// a value some twenty, a list of values a few hundred.
const longestAnswer = 1024

// Line looks at the bytes that came since q was asked. With Answer, text is the
// answer without its end; rest is what follows it. Each of CR, LF and CR LF ends
// a line. Blank lines, and the question itself sent back by a line that echoes,
// are skipped.
func (q Query) Line(came []byte) (o Outcome, text, rest []byte) {
	end := bytes.IndexAny(came, "\r\n")
	if end < 0 {
		if len(came) > longestAnswer {
			return Garbled, came, nil
		}
		return More, nil, came
	}
	text, rest = bytes.Trim(came[:end], " \t\x00"), came[end+1:]
	switch {
	case len(text) == 0, bytes.Equal(text, []byte(q.name)):
		return Skip, text, rest
	case len(text) > longestAnswer:
		return Garbled, text, rest
	}
	return Answer, text, rest
}

// IsIdentity reports whether an answer can be one to Identity: several fields
// with commas between, of which the first is no number. A value that comes late
// is none.
func IsIdentity(answer []byte) bool {
	first, _, several := bytes.Cut(answer, []byte(","))
	return several && len(first) > 0 && bytes.IndexByte([]byte("+-.0123456789#"), first[0]) < 0
}

// IsFault reports whether an answer can be one to Faults, a number and a text in
// quotes, and whether it tells of an error: 0 says that the list is empty.
func IsFault(answer []byte) (itIs, fault bool) {
	number, text, several := bytes.Cut(answer, []byte(","))
	number = bytes.TrimLeft(bytes.TrimSpace(number), "+-")
	if !several || len(number) == 0 || len(bytes.TrimLeft(number, "0123456789")) > 0 || !bytes.HasPrefix(bytes.TrimSpace(text), []byte(`"`)) {
		return false, false
	}
	return true, len(bytes.TrimLeft(number, "0")) > 0
}
