package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// offered is what a shell would be offered for the last argument.
func offered(t *testing.T, args ...string) []string {
	t.Helper()
	code, out, _ := amphora(t, append([]string{"__complete"}, args...)...)
	assert.Equal(t, exitDone, code)
	var words []string
	for line := range strings.Lines(out) {
		if word := strings.TrimSpace(line); !strings.HasPrefix(word, ":") {
			words = append(words, word)
		}
	}
	return words
}

func TestCompletionOfNames(t *testing.T) {
	dir := newData(t)
	id := recorded(t).ID
	both := []string{"car", "mower"}
	assert.Equal(t, both, offered(t, "battery", "show", "--data", dir, ""))
	assert.Equal(t, both, offered(t, "battery", "edit", "--data", dir, ""))
	assert.Equal(t, both, offered(t, "battery", "retire", "--data", dir, ""))
	assert.Equal(t, both, offered(t, "battery", "remove", "--data", dir, ""))
	assert.Equal(t, both, offered(t, "reading", "add", "--data", dir, ""))
	assert.Equal(t, both, offered(t, "reading", "list", "--data", dir, ""))
	assert.Equal(t, both, offered(t, "session", "list", "--data", dir, "--battery", ""))
	assert.Empty(t, offered(t, "battery", "show", "--data", dir, "mower", ""), "one is enough")
	assert.Empty(t, offered(t, "battery", "add", "--data", dir, ""), "a new name is anybody's")
	assert.Equal(t, []string{id}, offered(t, "session", "show", "--data", dir, ""))
	assert.Equal(t, []string{id}, offered(t, "session", "annotate", "--data", dir, ""))

	t.Setenv("AMPHORA_DATA", dir)
	assert.Equal(t, both, offered(t, "analyze", "--battery", ""))
	t.Setenv("AMPHORA_DATA", t.TempDir())
	assert.Empty(t, offered(t, "battery", "show", ""), "nothing there, nothing said")
	assert.Equal(t, []string{"bench"}, offered(t, "journal", "export", "--data", newJournal(t, "bench", "b"), "--channel", ""))
}

func TestCompletionOfChemistries(t *testing.T) {
	for _, command := range [][]string{{"plan"}, {"analyze"}, {"battery", "add"}, {"battery", "edit"}} {
		assert.Contains(t, offered(t, append(command, "--chemistry", "")...), "lead-agm", command)
	}
}

func TestCompletionScripts(t *testing.T) {
	for shell := range shells {
		assert.Contains(t, done(t, "completion", shell), "amphora", shell)
	}
}
