package main_test

import (
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What DEVELOPERS.md names is there.

func developers(t *testing.T) string {
	text, err := os.ReadFile(filepath.Join(repository, "DEVELOPERS.md"))
	require.NoError(t, err)
	return string(text)
}

// Every test that DEVELOPERS.md tells to run is there, in each folder that it names.
func TestEveryTestThatIsToldToRunIsThere(t *testing.T) {
	there := testsOfTheTree(t)
	commands := testCommand.FindAllStringSubmatch(developers(t), -1)
	require.Greater(t, len(commands), 20)
	for _, c := range commands {
		pattern, err := regexp.Compile(strings.Trim(c[1], "'"))
		require.NoError(t, err, c[0])
		for _, folder := range strings.Fields(c[2]) {
			folder, below := strings.CutSuffix(path.Join("/", folder), "/...")
			runs := slices.ContainsFunc(slices.Collect(maps.Keys(there)), func(full string) bool {
				dir, name, _ := strings.Cut("/"+full, ".")
				return (dir == folder || below && strings.HasPrefix(dir, folder+"/")) && pattern.MatchString(name)
			})
			assert.True(t, runs, "%s runs nothing in %s", c[0], folder)
		}
	}
}

// testCommand finds what is to be run, and the folders behind it.
var testCommand = regexp.MustCompile(`-(?:run|bench|fuzz) ('[^']+'|[A-Z][A-Za-z]+)(?: -[a-z]+(?: \d[0-9a-z]*)?)*((?: \./[a-z0-9/.]+)+)`)

// Every file that it names is there, in the folder that it names or in some other.
func TestEveryFileThatIsNamedIsThere(t *testing.T) {
	var tree []string
	require.NoError(t, fs.WalkDir(os.DirFS(repository), ".", func(file string, _ fs.DirEntry, err error) error {
		tree = append(tree, file)
		return err
	}))
	names := fileName.FindAllStringSubmatch(developers(t), -1)
	require.Greater(t, len(names), 100)
	for _, name := range names {
		there := slices.ContainsFunc(tree, func(file string) bool {
			parts, n := strings.Split(file, "/"), strings.Count(name[1], "/")+1
			fits, err := path.Match(name[1], path.Join(parts[max(0, len(parts)-n):]...))
			return fits && err == nil
		})
		assert.True(t, there, "there is no %s", name[1])
	}
}

// fileName finds the names of files, some with a star.
var fileName = regexp.MustCompile("`([a-z0-9_/*-]+\\.(?:go|js|css|html|json|txt))`")
