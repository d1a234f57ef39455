package main_test

import (
	"fmt"
	"go/ast"
	"path"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// isPure tells whether a folder holds functions of their input alone: the same
// lines give the same numbers on any day and on any machine. Of the domain only
// the logbook, which remembers, is not.
func isPure(folder string) bool {
	return folder != "analyze/logbook" && (within("analyze/...", folder) || within("decoders/...", folder))
}

// The packages through which a pure function would see the world, or talk to it.
var worldly = []string{"os/...", "log/...", "net/...", "io/fs", "path/filepath", "syscall", "embed", "flag", "sync/...", "context"}

// The functions of other packages that do the same. Random numbers without a
// seed are among them.
var worldlyCalls = map[string][]string{
	"time":         {"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTicker", "NewTimer", "Local", "LoadLocation"},
	"fmt":          {"Print", "Printf", "Println", "Scan", "Scanf", "Scanln"},
	"math/rand/v2": {"Float32", "Float64", "Int", "IntN", "Int32", "Int32N", "Int64", "Int64N", "N", "NormFloat64", "ExpFloat64", "Perm", "Shuffle", "Uint32", "Uint32N", "Uint64", "Uint64N", "UintN"},
}

// impure lists what makes a file of a pure folder depend on more than its input.
func impure(f goFile) (complaints []string) {
	if f.isTest() || !isPure(path.Dir(f.path)) {
		return nil
	}
	complain := func(n ast.Node, what string) {
		complaints = append(complaints, fmt.Sprintf("%s: %s in a package without clock, goroutine and I/O", f.at(n), what))
	}
	for _, spec := range f.syntax.Imports {
		name := unquoted(spec)
		if slices.ContainsFunc(worldly, func(p string) bool { return within(p, name) }) || name == "math/rand" {
			complain(spec, "import of "+name)
		}
		if spec.Name != nil && spec.Name.Name == "." {
			complain(spec, "import of "+name+" without a name, which hides what is called,")
		}
	}
	named := f.importNames()
	ast.Inspect(f.syntax, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt:
			complain(n, "goroutine")
		case *ast.SelectorExpr:
			if pkg, ok := n.X.(*ast.Ident); ok && slices.Contains(worldlyCalls[named[pkg.Name]], n.Sel.Name) {
				complain(n, named[pkg.Name]+"."+n.Sel.Name)
			}
		}
		return true
	})
	return complaints
}

func TestTheDomainHasNoClockNoGoroutineAndNoIO(t *testing.T) {
	complainOf(t, impure)
}

func TestImpurityIsFound(t *testing.T) {
	for text, bad := range map[string]bool{
		"import \"time\"\nvar x = time.Now()":                    true,
		"import clock \"time\"\nvar x = clock.Now":               true,
		"import . \"time\"\nvar x = Now()":                       true,
		"import \"time\"\nfunc f(t time.Time) { time.Since(t) }": true,
		"import \"time\"\nvar x = time.UTC":                      false,
		"import \"fmt\"\nfunc f() { fmt.Println() }":             true,
		"import \"fmt\"\nvar x = fmt.Sprint()":                   false,
		"import \"math/rand/v2\"\nvar x = rand.Float64()":        true,
		"import \"math/rand/v2\"\nvar x = rand.New(nil)":         false,
		"import _ \"math/rand\"":                                 true,
		"import _ \"os\"":                                        true,
		"import _ \"os/exec\"":                                   true,
		"import _ \"log\"":                                       true,
		"import _ \"log/slog\"":                                  true,
		"import _ \"net/http\"":                                  true,
		"import _ \"io/fs\"":                                     true,
		"import _ \"io\"":                                        false,
		"func f() { go f() }":                                    true,
	} {
		text = "package x\n\n" + text + "\n"
		assert.Equal(t, bad, len(impure(madeFile(t, "analyze/x.go", text))) > 0, text)
		assert.Equal(t, bad, len(impure(madeFile(t, "decoders/x.go", text))) > 0, text)
		assert.Empty(t, impure(madeFile(t, "analyze/x_test.go", text)))
		assert.Empty(t, impure(madeFile(t, "analyze/logbook/x.go", text)))
		assert.Empty(t, impure(madeFile(t, "capture/x.go", text)))
	}
}
