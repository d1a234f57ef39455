package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/cmd/amphora/daemon"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The nights that the logbook has of a battery count for what is foretold of it, also where it
// is not the daemon that listens.
func TestEarlierNightsCountForWhatIsForetold(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("AMPHORA_DATA", filepath.Join(dir, "data"))
	whole := madeUpLog(t, filepath.Join(dir, "whole.log"), "outboard-plateau", madeup.Commas, 1e9)
	half := madeUpLog(t, filepath.Join(dir, "half.log"), "outboard-plateau", madeup.Commas, 2.5*3600)
	method := func() string {
		s := doneJSON[analyze.Document](t, "analyze", "--json", "--battery", "outboard", half).Sessions
		require.Len(t, s, 1)
		require.NotNil(t, s[0].Forecast)
		w := watch{decoder: "auto", plain: true}
		w.battery = "outboard"
		from, err := w.openLocal(t.Context(), streams{}, half)
		require.NoError(t, err)
		defer func() { require.NoError(t, from.close()) }()
		require.NoError(t, from.run(t.Context()))
		c, ok := from.now()
		require.True(t, ok)
		require.NotNil(t, c.Session.Forecast)
		assert.Equal(t, s[0].Forecast.Method, c.Session.Forecast.Method)
		return s[0].Forecast.Method
	}
	done(t, "battery", "add", "outboard", "--chemistry", "lifepo4", "--cells", "4", "--capacity", "50Ah")
	assert.NotContains(t, method(), "earlier nights")
	done(t, "session", "add", "--battery", "outboard", "--started", "2024-03-14T21:40:00Z", whole)
	assert.Contains(t, method(), "on earlier nights (1), and how the voltage went then")
}

// What stands in the logbook of a battery need not be said again of a log of its charge.
func TestWhatTheLogbookKnowsNeedNotBeSaid(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	t.Setenv("AMPHORA_DATA", dir)
	text, err := os.ReadFile(mowerLog)
	require.NoError(t, err)
	watched := func() string {
		var out, complaints strings.Builder
		code := run(t.Context(), []string{"watch", "--plain", "--battery", "mower", "-"}, strings.NewReader(string(text)), &out, &complaints)
		require.Equal(t, exitDone, code, complaints.String())
		return out.String()
	}
	const stands = "mower: lead-gel, 6 cells\n"
	for range 2 {
		assert.NotContains(t, done(t, "analyze", "--battery", "mower", mowerLog), stands)
		assert.NotContains(t, watched(), stands)
		assert.NoFileExists(t, daemon.BookFile(dir), "looking must leave nothing behind")
	}

	done(t, "battery", "add", "mower", "--chemistry", "lead-gel", "--cells", "6", "--capacity", "23Ah")
	for _, told := range []string{done(t, "analyze", "--battery", "mower", mowerLog), watched()} {
		assert.Contains(t, told, stands)
		assert.Contains(t, told, " of 23 Ah")
	}
	told := done(t, "analyze", "--battery", "mower", "--capacity", "29Ah", mowerLog)
	assert.Contains(t, told, stands)
	assert.Contains(t, told, " of 29 Ah", "what is said counts")
	assert.NotContains(t, done(t, "analyze", "--battery", "car", mowerLog), "lead-gel")
	page := filepath.Join(t.TempDir(), "page.html")
	done(t, "report", "--battery", "mower", "--out", page, mowerLog)
	html, err := os.ReadFile(page)
	require.NoError(t, err)
	assert.True(t, strings.Contains(string(html), "lead-gel"), "in a report")

	require.NoError(t, os.WriteFile(daemon.BookFile(dir), []byte("no logbook"), 0o600))
	code, out, complaints := amphora(t, "analyze", "--battery", "mower", mowerLog)
	assert.Equal(t, exitDone, code)
	assert.Contains(t, out, "went in")
	assert.Contains(t, complaints, "what the logbook knows of mower is left out: ")
}
