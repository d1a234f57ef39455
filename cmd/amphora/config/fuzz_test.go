package config

import (
	"os"
	"path/filepath"
	"testing"
	"unicode/utf8"

	"amphora/analyze/madeup/mangle"
	"amphora/capture"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever is in the file, there is an answer: a Config, or errors that lie
// within the file.
func FuzzLoad(f *testing.F) {
	for _, text := range soundFiles(f) {
		f.Add(text)
	}
	check := anyFile(f)
	f.Fuzz(func(t *testing.T, text []byte) { check(t, text) })
}

// Damaged configurations in numbers that a fuzzer does not reach.
func TestMangledConfigurations(t *testing.T) {
	check := anyFile(t)
	m := mangle.New(1, soundFiles(t)...)
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 500) {
		check(t, m.Next())
	}
}

func soundFiles(t testing.TB) [][]byte {
	texts := [][]byte{[]byte(Example), []byte(switchedOff.ReplaceAllString(Example, "$1"))}
	files, err := filepath.Glob("testdata/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		texts = append(texts, text)
	}
	return texts
}

// loading writes a file and loads it.
func loading(t testing.TB) func(testing.TB, []byte) (*Config, []Problem) {
	h := machine(t, nil)
	path := filepath.Join(h.Root, "amphora.yaml")
	return func(t testing.TB, text []byte) (*Config, []Problem) {
		require.NoError(t, os.WriteFile(path, text, 0o600))
		return h.Load("amphora.yaml")
	}
}

func anyFile(t testing.TB) func(testing.TB, []byte) {
	load := loading(t)
	return func(t testing.TB, text []byte) {
		c, problems := load(t, text)
		assert.Equal(t, Forbidding(problems) == 0, c != nil)
		for _, p := range problems {
			assert.NotEmpty(t, p.Message)
			assert.True(t, utf8.ValidString(p.String()))
			assert.LessOrEqual(t, p.Line, 2+len(text))
			assert.Equal(t, p.Line > 0, p.Column > 0, p)
		}
		if c == nil {
			return
		}
		assert.NotEmpty(t, c.Channels)
		for _, channel := range c.Channels {
			assert.NotEmpty(t, channel.Name)
			for _, feed := range channel.Feeds {
				_, err := feed.Source.Capture(capture.NewInput(os.Stdin))
				assert.NoError(t, err)
			}
		}
	}
}

// BenchmarkWorst shows what the worst 4 KiB cost: no 10 ms, and no MiB that stays.
func BenchmarkWorst(b *testing.B) {
	texts := soundFiles(b)
	texts = append(mangle.Full(texts...), texts...)
	b.Run("way", func(b *testing.B) {
		check := anyFile(b)
		testhelp.Worst(b, mangle.New(1, texts...).Next, func(text []byte) { check(b, text) })
	})
	b.Run("result", func(b *testing.B) {
		load := loading(b)
		testhelp.WorstKept(b, mangle.New(2, texts...).Next, func(text []byte) any {
			c, problems := load(b, text)
			return [...]any{c, problems}
		})
	})
}
