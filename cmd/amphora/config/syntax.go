package config

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// A configuration beyond these is none, and the parser's time grows with the
// square of the size and of the nesting: 3 s for 64 KiB of the worst kind.
const (
	mostBytes   = 64 << 10
	mostNesting = 32  // of brackets
	mostDashes  = 400 // in a line; each may open a list
)

// parse reads the file's text into its one document. The parser is told to
// accept double keys so that all of them can be reported, not only the first.
func (r *reader) parse(text []byte) (ast.Node, bool) {
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if !r.readable(text) {
		return nil, false
	}
	file, err := parser.ParseBytes(text, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		r.syntaxError(text, err)
		return nil, false
	}
	var body ast.Node
	for _, doc := range file.Docs {
		switch _, directive := doc.Body.(*ast.DirectiveNode); {
		case doc.Body == nil || directive:
		case body != nil:
			r.failAt(placeOf(doc.Body), "", "a second document begins here and would be ignored; put everything in one, without ---")
			return nil, false
		default:
			body = doc.Body
		}
	}
	if body == nil {
		r.failAt(place{}, "", "holds no settings; `amphora check --example` prints a file to begin with")
		return nil, false
	}
	return body, true
}

// readable refuses what YAML does not allow as text (YAML 1.2.2, 5.1), and what
// is too large or too deep to be meant.
func (r *reader) readable(text []byte) bool {
	if len(text) > mostBytes {
		r.failAt(place{}, "", "is larger than %d KiB, so it is no configuration", mostBytes>>10)
		return false
	}
	at, brackets, dashes, indent := place{1, 1}, 0, 0, true
	for i := 0; i < len(text); {
		c, size := utf8.DecodeRune(text[i:])
		switch {
		case c == utf8.RuneError && size == 1:
			r.failAt(at, "", "a byte here is not UTF-8 text; save the file as UTF-8")
			return false
		case unicode.IsControl(c) && !strings.ContainsRune("\t\n\r\u0085", c):
			r.failAt(at, "", "control character %q here; take it out", c)
			return false
		case indent && isOddBlank(c):
			r.failAt(at, "", oddBlankHere, c)
			return false
		case c == '[' || c == '{':
			brackets++
		case c == ']' || c == '}':
			brackets = max(brackets-1, 0)
		case c == '-' || c == '?':
			dashes++
		}
		if brackets > mostNesting || dashes > mostDashes {
			r.failAt(at, "", "nested deeper than any setting is")
			return false
		}
		i, at.column, indent = i+size, at.column+1, indent && c == ' '
		if c == '\n' {
			at, dashes, indent = place{at.line + 1, 1}, 0, true
		}
	}
	return true
}

// syntaxError reports what the parser said, with what is usually behind it.
func (r *reader) syntaxError(text []byte, err error) {
	e, told := errors.AsType[yaml.Error](err)
	if !told || e.GetToken() == nil {
		r.failAt(place{}, "", "is not YAML: %v", err)
		return
	}
	at := place{e.GetToken().Position.Line, e.GetToken().Position.Column}
	message := e.GetMessage()
	switch column, odd := oddBlank(text, at.line); {
	case column > 0:
		at.column = column
		message = fmt.Sprintf(oddBlankHere, odd)
	case strings.Contains(message, "tab character"), strings.Contains(message, "'\t'"):
		message = "a tab stands here; YAML wants blanks in front of a line"
	case strings.Contains(message, "not allowed in this context"):
		message = "this does not fit here; look at the blanks in front of the line, and put a value that holds a colon in quotes"
	case strings.Contains(message, "non-map value"):
		message = "a key with a colon behind it is wanted here"
	default:
		message = fmt.Sprintf("not YAML: %s", message)
	}
	r.failAt(at, "", "%s", message)
}

// oddBlankHere is told of a blank that is none to YAML; text copied from a page has them.
const oddBlankHere = "the blank here is %U, which YAML takes for a letter; type it anew"

func isOddBlank(c rune) bool { return c != ' ' && unicode.Is(unicode.Zs, c) }

// oddBlank finds the first such in a line.
func oddBlank(text []byte, line int) (column int, odd rune) {
	lines := strings.Split(string(text), "\n")
	if line > len(lines) {
		return 0, 0
	}
	for i, c := range []rune(lines[line-1]) {
		if isOddBlank(c) {
			return i + 1, c
		}
	}
	return 0, 0
}
