package main_test

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/format"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// repository is the top of the tree, seen from this package.
const repository = "../.."

// A goFile is one file of source text, its path seen from the top of the tree.
type goFile struct {
	path   string
	text   []byte
	syntax *ast.File
	set    *token.FileSet
}

func (f goFile) isTest() bool { return strings.HasSuffix(f.path, "_test.go") }

// at is the place of a node, as path:line:column.
func (f goFile) at(n ast.Node) string { return f.set.Position(n.Pos()).String() }

func (f goFile) imports() (names []string) {
	for _, spec := range f.syntax.Imports {
		names = append(names, unquoted(spec))
	}
	return names
}

// importNames maps the name by which the file calls a package to its path. The
// name of a path that ends in a version is the part before it.
func (f goFile) importNames() map[string]string {
	named := map[string]string{}
	for _, spec := range f.syntax.Imports {
		full := unquoted(spec)
		name := path.Base(strings.TrimSuffix(full, "/v2"))
		if spec.Name != nil {
			name = spec.Name.Name
		}
		named[name] = full
	}
	return named
}

func unquoted(spec *ast.ImportSpec) string {
	name, err := strconv.Unquote(spec.Path.Value)
	if err != nil {
		return spec.Path.Value
	}
	return name
}

// goFiles reads every Go file of the tree but those that the go command passes
// over too: testdata and hidden folders.
func goFiles(t *testing.T) (files []goFile) {
	err := filepath.WalkDir(repository, func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		base := entry.Name()
		if entry.IsDir() && (base == "testdata" || strings.HasPrefix(base, ".") && base != "..") {
			return fs.SkipDir
		}
		if entry.IsDir() || !strings.HasSuffix(base, ".go") {
			return nil
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		place, err := filepath.Rel(repository, name)
		if err != nil {
			return err
		}
		files = append(files, madeFile(t, filepath.ToSlash(place), string(text)))
		return nil
	})
	require.NoError(t, err)
	require.NotEmpty(t, files)
	return files
}

// complainOf fails the test with what rules have to say of any file of the tree.
func complainOf(t *testing.T, rules ...func(goFile) []string) {
	t.Helper()
	for _, f := range goFiles(t) {
		for _, rule := range rules {
			for _, complaint := range rule(f) {
				t.Error(complaint)
			}
		}
	}
}

// madeFile is a file with the path and text given.
func madeFile(t *testing.T, path, text string) goFile {
	set := token.NewFileSet()
	syntax, err := parser.ParseFile(set, path, text, parser.ParseComments)
	require.NoError(t, err)
	return goFile{path: path, text: []byte(text), syntax: syntax, set: set}
}

// strangers lists the names that have no place at the top of the tree. Hidden
// names are for tools; what git is told to pass over, a built program for
// instance, does not go in.
func strangers(names []string, ignored string) (found []string) {
	belong := []string{"cmd", "capture", "analyze", "decoders", "dashboards", "testdata",
		"README.md", "DEVELOPERS.md", "go.mod", "go.sum", "LICENSE"}
	for _, name := range names {
		passed := slices.ContainsFunc(strings.Split(ignored, "\n"), func(pattern string) bool {
			match, err := path.Match(strings.TrimPrefix(pattern, "/"), name)
			return match && err == nil
		})
		if !strings.HasPrefix(name, ".") && !slices.Contains(belong, name) && !passed {
			found = append(found, name)
		}
	}
	return found
}

func TestTheTopHoldsOnlyWhatBelongsThere(t *testing.T) {
	entries, err := os.ReadDir(repository)
	require.NoError(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	ignored, err := os.ReadFile(filepath.Join(repository, ".gitignore"))
	require.NoError(t, err)
	assert.Empty(t, strangers(names, string(ignored)))
	assert.Equal(t, []string{"helpers", "notes.txt"},
		strangers([]string{".ci", "analyze", "helpers", "built", "x.test", "notes.txt", "go.mod"}, "# programs\n/built\n*.test\n"))
}

// unwanted lists words that tie the text to one machine or to one registry.
// They are put together here so that this file does not hold them.
func unwanted(f goFile) (complaints []string) {
	hosts := []string{"proxy." + "golang.org", "sum." + "golang.org", "registry." + "npmjs.org", "deb." + "debian.org"}
	words := append(hosts, "/wo"+"rk/", "/ro"+"ot/")
	if !f.isTest() { // a test may make up such a place
		words = append(words, "/t"+"mp", "/ho"+"me/")
	}
	for n, line := range strings.Split(string(f.text), "\n") {
		for _, word := range words {
			if strings.Contains(line, word) {
				complaints = append(complaints, fmt.Sprintf("%s:%d: %q belongs to one machine or registry", f.path, n+1, word))
			}
		}
	}
	return complaints
}

func TestNoFileNamesAMachineOrARegistry(t *testing.T) {
	complainOf(t, unwanted)
	for _, word := range []string{"/wo" + "rk/main", "proxy." + "golang.org", "/t" + "mp/x"} {
		text := "package x\n\nconst place = \"" + word + "\"\n"
		assert.Len(t, unwanted(madeFile(t, "capture/x.go", text)), 1, word)
	}
	assert.Empty(t, unwanted(madeFile(t, "capture/x_test.go", "package x\n\nconst place = \"/t"+"mp/x\"\n")))
}

// uncommented lists the folders whose package says nowhere what it is.
func uncommented(files []goFile) (folders []string) {
	said := map[string]bool{}
	for _, f := range files {
		if folder := path.Dir(f.path); !f.isTest() {
			said[folder] = said[folder] || f.syntax.Doc.Text() != ""
		}
	}
	for folder, yes := range said {
		if !yes {
			folders = append(folders, folder)
		}
	}
	slices.Sort(folders)
	return folders
}

func TestEveryPackageSaysWhatItIs(t *testing.T) {
	assert.Empty(t, uncommented(goFiles(t)))
	assert.Equal(t, []string{"capture"}, uncommented([]goFile{
		madeFile(t, "analyze/doc.go", "// Package analyze judges.\npackage analyze\n"),
		madeFile(t, "analyze/x.go", "package analyze\n"),
		madeFile(t, "capture/x.go", "// A remark that stands apart.\n\npackage capture\n"),
		madeFile(t, "capture/x_test.go", "// Package capture listens.\npackage capture\n"),
	}))
}

// laidOut tells whether the text stands as the go command would lay it out.
func laidOut(t *testing.T, f goFile) bool {
	text, err := format.Source(f.text)
	require.NoError(t, err)
	return bytes.Equal(f.text, text)
}

func TestTheTextIsLaidOutAsUsual(t *testing.T) {
	for _, f := range goFiles(t) {
		assert.True(t, laidOut(t, f), "%s: run gofmt -w on it", f.path)
	}
	assert.False(t, laidOut(t, madeFile(t, "x.go", "package x\nvar  a = 1\n")))
}
