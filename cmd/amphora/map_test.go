package main_test

import (
	"path"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two folders have so many files that their doc.go has a map of them. Who adds a file,
// or takes one away, does so there, too.
func TestMapsAreTrue(t *testing.T) {
	for _, folder := range []string{"analyze", "decoders"} {
		var files []string
		text := ""
		for _, f := range goFiles(t) {
			if name := path.Base(f.path); path.Dir(f.path) != folder || f.isTest() {
				continue
			} else if name == "doc.go" {
				text = f.syntax.Doc.Text()
			} else {
				files = append(files, strings.TrimSuffix(name, ".go"))
			}
		}
		require.NotEmpty(t, files, folder)
		mapped := onMap(text)
		for _, name := range files {
			assert.Contains(t, mapped, name, "%s/%s.go is not on the map in %s/doc.go", folder, name, folder)
		}
		for _, name := range mapped {
			assert.Contains(t, files, name, "the map in %s/doc.go has %s, and there is no such file", folder, name)
		}
	}
}

// onMap lists the files of a map: in each row those behind its title.
func onMap(doc string) (files []string) {
	wide := regexp.MustCompile(` {2,}`)
	for line := range strings.Lines(doc) {
		if row, ok := strings.CutPrefix(line, "\t"); ok {
			parts := wide.Split(strings.TrimSpace(row), -1)
			files = append(files, strings.Fields(parts[len(parts)-1])...)
		}
	}
	return files
}
