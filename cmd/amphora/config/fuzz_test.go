package config

import (
	"os"
	"path/filepath"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
)

// Whatever is in the file, there is an answer: a Config, or errors that lie
// within the file.
func FuzzLoad(f *testing.F) {
	f.Add([]byte(Example))
	f.Add([]byte(switchedOff.ReplaceAllString(Example, "$1")))
	files, err := filepath.Glob("testdata/*.yaml")
	if err != nil || len(files) == 0 {
		f.Fatal("no seeds", err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	h := machine(f, nil)
	path := filepath.Join(h.Root, "amphora.yaml")
	f.Fuzz(func(t *testing.T, text []byte) {
		if err := os.WriteFile(path, text, 0o600); err != nil {
			t.Fatal(err)
		}
		c, problems := h.Load("amphora.yaml")
		assert.Equal(t, Errors(problems) == 0, c != nil)
		for _, p := range problems {
			assert.NotEmpty(t, p.Message)
			assert.True(t, utf8.ValidString(p.String()))
			assert.LessOrEqual(t, p.Line, 2+len(text))
			assert.Equal(t, p.Line > 0, p.Column > 0, p)
		}
		if c != nil {
			assert.NotEmpty(t, c.Channels)
			for _, channel := range c.Channels {
				assert.NotEmpty(t, channel.Name)
				for _, feed := range channel.Feeds {
					_, err := feed.Source.Capture(os.Stdin)
					assert.NoError(t, err)
				}
			}
		}
	})
}
