package main

import (
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/analyze/condition"
	"amphora/cmd/amphora/config"
	"amphora/dashboards/metrics"
	"amphora/dashboards/report"
	"amphora/dashboards/testhelp"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the documents name must be there, and what is there must be in the documents.

func document(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", name))
	require.NoError(t, err)
	return string(text)
}

// commandTree is every command with its own flags, by its path.
func commandTree() map[string]*cobra.Command {
	all := map[string]*cobra.Command{}
	var add func(c *cobra.Command)
	add = func(c *cobra.Command) {
		all[c.CommandPath()] = c
		for _, sub := range withPages(c) {
			add(sub)
		}
	}
	add(rootCommand(streams{in: strings.NewReader(""), out: io.Discard, err: io.Discard}))
	return all
}

func commandTable() string {
	var b strings.Builder
	b.WriteString("| command | what it does | flags, beside `--help` |\n|---|---|---|\n")
	all := commandTree()
	for _, path := range slices.Sorted(maps.Keys(all)) {
		c := all[path]
		if c.HasAvailableSubCommands() {
			continue
		}
		var flags []string
		note := func(f *pflag.Flag) {
			if !f.Hidden && f.Name != "help" {
				flags = append(flags, "`--"+f.Name+"`")
			}
		}
		c.LocalFlags().VisitAll(note)
		c.InheritedFlags().VisitAll(note)
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", path, c.Short, strings.Join(flags, " "))
	}
	return b.String()
}

func findingTable() string {
	var b strings.Builder
	b.WriteString("| code | usually | what it may mean, and what to look at first |\n|---|---|---|\n")
	severities := analyze.FindingCodes()
	for _, code := range slices.Sorted(maps.Keys(severities)) {
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", code, severities[code], report.Meanings()[code])
	}
	return b.String()
}

func metricTable() string {
	var b strings.Builder
	b.WriteString("| metric | what it is |\n|---|---|\n")
	all := metrics.Meanings()
	for _, name := range slices.Sorted(maps.Keys(all)) {
		fmt.Fprintf(&b, "| `%s` | %s |\n", name, all[name])
	}
	return b.String()
}

// The tables of the README are what the program itself says; -update writes them anew.
func TestTablesOfTheReadmeAreTrue(t *testing.T) {
	text := document(t, "README.md")
	for name, table := range map[string]string{"commands": commandTable(), "findings": findingTable(), "metrics": metricTable()} {
		begin, end := "<!-- table of "+name+" -->\n", "<!-- end of table -->"
		_, rest, ok := strings.Cut(text, begin)
		require.True(t, ok, "README.md has no %s", begin)
		was, _, ok := strings.Cut(rest, end)
		require.True(t, ok)
		if testhelp.Update() {
			text = strings.Replace(text, begin+was, begin+table, 1)
			continue
		}
		assert.Equal(t, table, was, "%s: go test ./cmd/amphora -run Readme -update writes it", name)
	}
	if testhelp.Update() {
		require.NoError(t, os.WriteFile(filepath.Join("..", "..", "README.md"), []byte(text), 0o644))
	}
}

func TestFlagsInTheDocumentsAreThere(t *testing.T) {
	known := map[string]bool{"--help": true, "--version": true, "--now": true} // the last is systemctl's
	for _, c := range commandTree() {
		c.LocalFlags().VisitAll(func(f *pflag.Flag) { known["--"+f.Name] = true })
	}
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		for _, f := range regexp.MustCompile(`--[a-z][a-z-]*`).FindAllString(document(t, name), -1) {
			assert.True(t, known[f], "%s names %s, which no command has", name, f)
		}
	}
}

// toldFlags are the flags that a text gives commands of ours, as "amphora plan --cells".
func toldFlags(text string) (told [][2]string) {
	root := commandTree()["amphora"]
	for _, m := range regexp.MustCompile("\\bamphora ([a-z][^`\n|<>]*)").FindAllStringSubmatch(text, -1) {
		words := strings.Fields(m[1])
		c, _, err := root.Find(words)
		if err != nil || c == root {
			continue // amphora says, amphora warns
		}
		for _, w := range words {
			if name, _, _ := strings.Cut(w, "="); strings.HasPrefix(name, "--") {
				told = append(told, [2]string{c.CommandPath(), strings.TrimPrefix(name, "--")})
			}
		}
	}
	return told
}

// A flag is told of a command that has it, in the documents and in the help's own examples.
func TestFlagsAreThoseOfTheirCommands(t *testing.T) {
	all := commandTree()
	texts := map[string]string{"README.md": document(t, "README.md"), "DEVELOPERS.md": document(t, "DEVELOPERS.md")}
	for path, c := range all {
		texts[path+" --help"] = c.Long + "\n" + c.Example
	}
	tried := 0
	for name, text := range texts {
		for _, told := range toldFlags(text) {
			c, flag := all[told[0]], told[1]
			tried++
			assert.True(t, flag == "help" || c.Flag(flag) != nil || c.InheritedFlags().Lookup(flag) != nil, "%s: %s has no --%s", name, told[0], flag)
		}
	}
	assert.Greater(t, tried, 60)
}

// Words like `cut-short` in the documents are codes of findings, outcomes and verdicts.
func TestCodesInTheDocumentsAreThere(t *testing.T) {
	known := map[string]bool{string(analyze.CutShort): true, string(condition.NearReplacement): true, "amphora-journal": true}
	for code := range analyze.FindingCodes() {
		known[code] = true
	}
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		for _, m := range regexp.MustCompile("`([a-z]+(?:-[a-z]+)+)`").FindAllStringSubmatch(document(t, name), -1) {
			assert.True(t, known[m[1]], "%s: there is no code %s", name, m[1])
		}
	}
}

func TestMetricsInTheDocumentsAreThere(t *testing.T) {
	known := slices.Sorted(maps.Keys(metrics.Meanings()))
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		for _, m := range regexp.MustCompile(`amphora_[a-z_]*[a-z]`).FindAllString(document(t, name), -1) {
			assert.Contains(t, known, strings.TrimSuffix(m, "_bucket"), "in "+name)
		}
	}
}

// Keys stand in code, as `key: value`; the example configuration has each that there
// is, which a test of its own proves.
func TestKeysInTheDocumentsAreThere(t *testing.T) {
	known := map[string]bool{}
	key := regexp.MustCompile(`(?m)(?:^|[{ ,#-])([a-z][a-z-]*):(?: |$|…)`)
	for _, m := range key.FindAllStringSubmatch(config.Example, -1) {
		known[m[1]] = true
	}
	for code := range analyze.FindingCodes() {
		known[code] = true
	}
	known["site"] = true // a tag of the user's own
	blocks := regexp.MustCompile("(?s)```.*?```")
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		text := document(t, name)
		code := regexp.MustCompile("`([^`\n]+)`").FindAllString(blocks.ReplaceAllString(text, ""), -1)
		for _, block := range regexp.MustCompile("(?s)```yaml\n.*?```").FindAllString(text, -1) {
			if !strings.Contains(block, "scrape_configs") { // Prometheus's own
				code = append(code, block)
			}
		}
		for _, c := range code {
			for _, m := range key.FindAllStringSubmatch(strings.Trim(c, "`"), -1) {
				assert.True(t, known[m[1]], "%s: no key %s, in %s", name, m[1], c)
			}
		}
	}
}
