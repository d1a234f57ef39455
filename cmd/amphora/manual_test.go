package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"amphora/cmd/amphora/config"
	"amphora/dashboards/testhelp"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// manPage is a page as somebody sees it who asks man for it, in lines of 200 columns and
// without what bold and underlined print twice.
func manPage(t *testing.T, file string) string {
	t.Helper()
	man := exec.Command(testhelp.Needed(t, "man", "man-db"), "--warnings", "--local-file", file)
	man.Env = append(os.Environ(), "LC_ALL=C.UTF-8", "MANWIDTH=200", "MANPAGER=cat", "MAN_KEEP_FORMATTING=")
	var complaints strings.Builder
	man.Stderr = &complaints
	text, err := man.Output()
	require.NoError(t, err, complaints.String())
	assert.Empty(t, complaints.String(), file)
	return string(text)
}

// inOneLine drops how a text is broken into lines.
func inOneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

func TestManualSaysWhatTheHelpSays(t *testing.T) {
	dir := t.TempDir()
	done(t, "manual", "--date", "2026-11-25", dir)
	root := rootCommand(streams{})
	for _, c := range commands(root) {
		if c.Name() == "help" || c.Hidden {
			continue
		}
		text := inOneLine(manPage(t, filepath.Join(dir, pageName(c)+".1")))
		assert.Contains(t, text, "2026-11-25")
		assert.Contains(t, text, inOneLine(c.Long), c.CommandPath())
		assert.Contains(t, text, inOneLine(c.Example), c.CommandPath())
		c.Flags().VisitAll(func(f *pflag.Flag) {
			name, usage := pflag.UnquoteUsage(f)
			assert.Contains(t, text, strings.TrimSpace("--"+f.Name+" "+name)+" "+inOneLine(usage), c.CommandPath())
		})
	}
	example, err := os.ReadFile("config/amphora.example.yaml")
	require.NoError(t, err)
	of5 := inOneLine(manPage(t, filepath.Join(dir, "amphora.yaml.5")))
	assert.Contains(t, of5, inOneLine(string(example)))
	of1 := inOneLine(manPage(t, filepath.Join(dir, "amphora.1")))
	for _, place := range strings.Split(config.UsualPlaces, ", ") {
		assert.Contains(t, of1, strings.TrimPrefix(place, "$"), "where a configuration is looked for")
		assert.Contains(t, of5+" AMPHORA_CONFIG", strings.TrimPrefix(place, "$"))
	}
}

// A second reader of the same macros, mandoc, is strict about them.
func TestManualIsSoundRoff(t *testing.T) {
	mandoc := testhelp.Needed(t, "mandoc", "mandoc")
	dir := t.TempDir()
	done(t, "manual", "--date", "2026-11-25", dir)
	pages, err := filepath.Glob(filepath.Join(dir, "*.[15]"))
	require.NoError(t, err)
	assert.Greater(t, len(pages), 30)
	out, err := exec.Command(mandoc, append([]string{"-Tlint", "-Wwarning"}, pages...)...).CombinedOutput()
	assert.NoError(t, err)
	assert.Empty(t, string(out))
}

func TestRoffKeepsEveryCharacter(t *testing.T) {
	for text, want := range map[string]string{
		`a\b`:         `a\eb`,
		".TH":         `\&.TH`,
		"'tis `so`":   `\(aqtis \(gaso\(ga`,
		"one\n.two\n": "one\n\\&.two\n",
		"--json ^~":   `\-\-json \(ha\(ti`,
	} {
		assert.Equal(t, want, roff(text), text)
	}
}

func TestManualRefuses(t *testing.T) {
	code, _, said := amphora(t, "manual", filepath.Join(t.TempDir(), "none"))
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, said, "name a folder that exists")
	code, _, said = amphora(t, "manual", "--date", "today", t.TempDir())
	assert.Equal(t, exitUsage, code)
	assert.Contains(t, said, "like 2026-11-25")
}
