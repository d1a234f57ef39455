package main_test

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// reach says what the packages of a folder may import of ours.
type reach struct {
	folder string
	ours   []string
}

// reaches is the table of folders. A name that ends in /... means the folder
// and what is below it; a package has the first row that its folder matches.
var reaches = []reach{
	{"analyze", nil},
	{"analyze/...", []string{"analyze"}},
	{"decoders/...", []string{"analyze"}},
	{"capture", []string{"capture/query"}},
	{"capture/query", nil},
	{"capture/journal", []string{"capture"}},
	{"dashboards/...", []string{"analyze/...", "dashboards/..."}},
	{"cmd/...", []string{"analyze/...", "decoders/...", "capture/...", "dashboards/...", "cmd/..."}},
}

// within tells whether a folder is the one that the pattern means.
func within(pattern, folder string) bool {
	root, below := strings.CutSuffix(pattern, "/...")
	return folder == root || below && strings.HasPrefix(folder, root+"/")
}

// wrongWay lists the imports that point the wrong way. Tests are free: they may
// run a part together with those that will feed it.
func wrongWay(f goFile) (complaints []string) {
	if f.isTest() {
		return nil
	}
	folder := path.Dir(f.path)
	row := slices.IndexFunc(reaches, func(r reach) bool { return within(r.folder, folder) })
	if row < 0 {
		return []string{fmt.Sprintf("%s: folder %s has no row in the table of folders", f.path, folder)}
	}
	for _, name := range f.imports() {
		imported, isOurs := strings.CutPrefix(name, "amphora/")
		if !isOurs {
			continue
		}
		if !slices.ContainsFunc(reaches[row].ours, func(p string) bool { return within(p, imported) }) {
			complaints = append(complaints, fmt.Sprintf("%s: %s may not import %s", f.path, folder, imported))
		}
	}
	return complaints
}

func TestImportsPointOneWay(t *testing.T) {
	complainOf(t, wrongWay)
}

func TestAnImportTheWrongWayIsFound(t *testing.T) {
	for _, c := range []struct {
		file, imports string
		wrong         bool
	}{
		{"analyze/x.go", "amphora/analyze/quantity", true},
		{"analyze/x.go", "amphora/decoders", true},
		{"analyze/plan/x.go", "amphora/analyze", false},
		{"analyze/plan/x.go", "amphora/analyze/quantity", true},
		{"analyze/logbook/x.go", "amphora/capture", true},
		{"decoders/x.go", "amphora/analyze", false},
		{"decoders/x.go", "amphora/capture", true},
		{"decoders/x.go", "amphora/analyze/logbook", true},
		{"capture/x.go", "amphora/analyze", true},
		{"capture/x.go", "amphora/capture/journal", true},
		{"capture/x.go", "amphora/capture/query", false},
		{"capture/query/x.go", "amphora/capture", true},
		{"capture/journal/x.go", "amphora/capture", false},
		{"capture/journal/x.go", "amphora/analyze", true},
		{"dashboards/web/x.go", "amphora/analyze/logbook", false},
		{"dashboards/web/x.go", "amphora/dashboards/curve", false},
		{"dashboards/web/x.go", "amphora/decoders", true},
		{"dashboards/web/x.go", "amphora/capture/journal", true},
		{"dashboards/web/x.go", "amphora/cmd/amphora/config", true},
		{"cmd/amphora/x.go", "amphora/capture/journal", false},
		{"cmd/amphora/daemon/x.go", "amphora/cmd/amphora/config", false},
		{"helpers/x.go", "amphora/analyze", true},
		{"decoders/x_test.go", "amphora/capture", false},
		{"decoders/x.go", "strings", false},
	} {
		f := madeFile(t, c.file, fmt.Sprintf("package x\n\nimport _ %q\n", c.imports))
		assert.Equal(t, c.wrong, len(wrongWay(f)) > 0, "%s imports %s", c.file, c.imports)
	}
}
