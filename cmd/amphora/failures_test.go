package main_test

import (
	"fmt"
	"go/ast"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mishap is an entry of testdata/failures.txt.
type mishap struct {
	id     string
	what   string
	tests  map[string][]string // by folder
	quoted []string            // from DEVELOPERS.md
}

// TestEveryFailureIsPlayed: each thing that may go wrong has tests that let it go
// wrong, and these are there, or a sentence that says why there are none.
func TestEveryFailureIsPlayed(t *testing.T) {
	there := testsOfTheTree(t)
	text, err := os.ReadFile(filepath.Join(repository, "DEVELOPERS.md"))
	require.NoError(t, err)
	said := oneLine(string(text))
	seen := map[string]bool{}
	for _, m := range mishaps(t) {
		assert.False(t, seen[m.id], "%s stands twice", m.id)
		seen[m.id] = true
		assert.NotEmpty(t, m.what, m.id)
		assert.NotZero(t, len(m.tests)+len(m.quoted), "%s, %s: neither a test nor a reason", m.id, m.what)
		for folder, names := range m.tests {
			for _, name := range names {
				assert.True(t, there[folder+"."+name], "%s: there is no %s in %s", m.id, name, folder)
			}
		}
		for _, sentence := range m.quoted {
			assert.Contains(t, said, oneLine(sentence), m.id)
		}
	}
	for _, kind := range []struct {
		letter string
		many   int
	}{{"", 59}, {"P", 19}, {"S", 14}} {
		for n := 1; n <= kind.many; n++ {
			id := fmt.Sprint(kind.letter, n)
			assert.True(t, seen[id], "nothing is said of %s", id)
			delete(seen, id)
		}
	}
	assert.Empty(t, seen, "nobody knows these")
}

var mishapLine = regexp.MustCompile(`^([PS]?\d+) (.+)$`)

func mishaps(t *testing.T) []mishap {
	text, err := os.ReadFile("testdata/failures.txt")
	require.NoError(t, err)
	_, body, ok := strings.Cut(string(text), "\n\n")
	require.True(t, ok)
	var all []mishap
	for line := range strings.Lines(body) {
		line = strings.TrimSuffix(line, "\n")
		detail, indented := strings.CutPrefix(line, "\t")
		switch head := mishapLine.FindStringSubmatch(line); {
		case line == "":
		case head != nil:
			all = append(all, mishap{id: head[1], what: head[2], tests: map[string][]string{}})
		case indented && len(all) > 0:
			m := &all[len(all)-1]
			where, what, _ := strings.Cut(detail, ": ")
			if where == "DEVELOPERS.md" {
				m.quoted = append(m.quoted, strings.Trim(what, `"`))
			} else {
				m.tests[where] = append(m.tests[where], strings.Fields(what)...)
			}
		default:
			t.Errorf("failures.txt: what is %q?", line)
		}
	}
	return all
}

// testsOfTheTree holds all tests, fuzzers and benchmarks as folder.Name.
func testsOfTheTree(t *testing.T) map[string]bool {
	all := map[string]bool{}
	for _, file := range goFiles(t) {
		for _, d := range file.syntax.Decls {
			f, ok := d.(*ast.FuncDecl)
			if ok && file.isTest() && f.Recv == nil && testName.MatchString(f.Name.Name) {
				all[path.Dir(file.path)+"."+f.Name.Name] = true
			}
		}
	}
	return all
}

var testName = regexp.MustCompile(`^(Test|Fuzz|Benchmark)[A-Z]`)

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }
