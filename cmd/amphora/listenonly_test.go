package main_test

import (
	"fmt"
	"go/ast"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The program only listens: the one place from which a byte can go to a meter is
// the Send of a question in capture/query. What follows looks at all the code
// that has a line to a meter in its hands.

// The names by which bytes leave a program.
var sends = []string{
	"Write", "WriteString", "WriteByte", "WriteRune", "WriteTo", "WriteAt", "ReadFrom", "Writev", "Pwrite", "Pwritev",
	"Send", "SendTo", "Sendto", "Sendmsg", "SendmsgN", "Sendfile", "Splice", "Copy", "CopyN", "CopyBuffer", "Pipe", "TeeReader",
	"Fprint", "Fprintf", "Fprintln", "NewWriter", "NewWriterSize", "NewEncoder", "Break",
}

// sendsKnown are the calls that are known: those of a question's way to the line,
// and two that go to the memory of the program.
var sendsKnown = map[string]string{
	"capture/query/query.go Send": "WriteString", // the one place
	"capture/ask.go ask":          "Send",        // which is that
	"capture/ask_other.go ask":    "Send",        // likewise
	"capture/ask_other.go Write":  "Write",       // hands on wholly what Send wrote
	"capture/command.go Write":    "Write",       // into a buffer: what a command complained of
	"capture/position.go printOf": "Copy",        // into a checksum
}

// transmissions lists the calls in a folder of capture that send something.
func transmissions(f goFile) (complaints []string) {
	if f.isTest() || !within("capture/...", path.Dir(f.path)) || within("capture/journal/...", path.Dir(f.path)) {
		return nil
	}
	for _, decl := range f.syntax.Decls {
		function := ""
		if fn, ok := decl.(*ast.FuncDecl); ok {
			function = fn.Name.Name
		}
		ast.Inspect(decl, func(n ast.Node) bool {
			s, ok := n.(*ast.SelectorExpr)
			if ok && slices.Contains(sends, s.Sel.Name) && sendsKnown[f.path+" "+function] != s.Sel.Name {
				complaints = append(complaints, fmt.Sprintf("%s: %s in %s can send something to a meter", f.at(n), s.Sel.Name, function))
			}
			return true
		})
	}
	return complaints
}

// opensLines lists what opens serial ports outside capture.
func opensLines(f goFile) (complaints []string) {
	if f.isTest() || within("capture", path.Dir(f.path)) {
		return nil
	}
	for name, full := range f.importNames() {
		if strings.HasPrefix(full, "go.bug.st/serial") {
			complaints = append(complaints, fmt.Sprintf("%s: %s (%s) opens ports, which only capture may", f.path, full, name))
		}
	}
	return complaints
}

func TestNothingButQuestionsIsSentToAMeter(t *testing.T) {
	complainOf(t, transmissions, opensLines)
}

func TestSendingIsFound(t *testing.T) {
	for text, bad := range map[string]bool{
		"func f(p port) { p.Write(nil) }":                           true,
		"func f(p port) { g := p.Write; g(nil) }":                   true,
		"func ask(q query) { q.Send(p) }":                           true,
		"import \"io\"\nfunc f(p port) { io.WriteString(p, \"\") }": true,
		"import \"io\"\nfunc f(p port) { io.Copy(p, q) }":           true,
		"import \"fmt\"\nfunc f(p port) { fmt.Fprintf(p, \"\") }":   true,
		"import x \"golang.org/x/sys/unix\"\nvar w = x.Write":       true,
		"func f(p port) { p.Read(nil) }":                            false,
	} {
		text = "package capture\n\n" + text + "\n"
		assert.Equal(t, bad, len(transmissions(madeFile(t, "capture/x.go", text))) > 0, text)
		assert.Equal(t, bad, len(transmissions(madeFile(t, "capture/query/x.go", text))) > 0, text)
		assert.Empty(t, transmissions(madeFile(t, "capture/journal/x.go", text)))
	}
	opener := madeFile(t, "cmd/amphora/x.go", "package main\n\nimport \"go.bug.st/serial\"\n\nvar open = serial.Open\n")
	assert.Len(t, opensLines(opener), 1)
}
