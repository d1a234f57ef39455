package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// example is a command of the README with what it prints; "…" stands for what is left out.
type example struct{ command, output string }

// examples are those that begin with "$ amphora".
func examples(text string) (all []example) {
	for _, block := range regexp.MustCompile("(?s)```\n(\\$ amphora .*?)```").FindAllStringSubmatch(text, -1) {
		for _, one := range strings.Split("\n"+block[1], "\n$ ")[1:] {
			command, output, _ := strings.Cut(one, "\n")
			all = append(all, example{command, output})
		}
	}
	return all
}

// likeOutput is an expression for what an example prints, on whatever day.
func likeOutput(output string) string {
	like := strings.ReplaceAll(regexp.QuoteMeta(strings.TrimSpace(output)), "…", "(?s:.*?)")
	return "^" + regexp.MustCompile(`\d{4}-\d\d-\d\d \d\d:\d\d`).ReplaceAllString(like, `\d{4}-\d\d-\d\d \d\d:\d\d`) + "$"
}

// What the README shows of a command is what it prints. Not tried here: what depends on
// the machine or the moment, which the tests of those commands look after.
func TestExamplesOfTheReadmeAreTrue(t *testing.T) {
	text := document(t, "README.md")
	log, err := os.ReadFile("../../testdata/car-flat.log")
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("car-flat.log", log, 0o644))
	t.Setenv("AMPHORA_DATA", filepath.Join(t.TempDir(), "data"))
	elsewhere := regexp.MustCompile(`^amphora (demo|ports|watch|journal) `)
	tried := 0
	for _, e := range examples(text) {
		if elsewhere.MatchString(e.command + " ") {
			continue
		}
		tried++
		var args []string
		for _, word := range regexp.MustCompile(`"[^"]*"|\S+`).FindAllString(e.command, -1) {
			args = append(args, strings.Trim(word, `"`))
		}
		assert.Regexp(t, likeOutput(e.output), strings.TrimSpace(done(t, args[1:]...)), e.command)
	}
	assert.GreaterOrEqual(t, tried, 9)
	assert.FileExists(t, "car-flat.svg")
}
