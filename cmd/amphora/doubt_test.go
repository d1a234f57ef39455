package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Where the lines leave open what they mean, who reads the result is told, and not only who asks how it was
// read; where they do not, nobody is. The numbers are invented: a battery whose current and voltage both stand.
func TestAnalyzeSaysWhatElseALogMayMean(t *testing.T) {
	write := func(heading string) string {
		var b strings.Builder
		b.WriteString(heading)
		for k := range 200 {
			fmt.Fprintf(&b, "%d,%.3f,%.2f\n", 2*k, 12.4+0.002*float64(k%3), 2+0.01*float64(k%2))
		}
		file := filepath.Join(t.TempDir(), "night.csv")
		require.NoError(t, os.WriteFile(file, []byte(b.String()), 0o600))
		return file
	}
	open, plain := write("t,x,y\n"), write("time_s,voltage_V,current_A\n")

	code, out, _ := amphora(t, "analyze", open)
	require.Zero(t, code)
	assert.Regexp(t, `\n  unsure     it may also be that .*is the voltage`, out)
	assert.Contains(t, strings.Join(strings.Fields(out), " "), "`amphora identify` says more")
	_, out, _ = amphora(t, "analyze", "--json", open)
	assert.Contains(t, out, `"doubt": `)
	page := filepath.Join(t.TempDir(), "page.html")
	code, _, said := amphora(t, "report", open, "--out", page)
	require.Zero(t, code, said)
	html, err := os.ReadFile(page)
	require.NoError(t, err)
	assert.True(t, strings.Contains(string(html), "<dt>unsure</dt>"))

	for _, how := range [][]string{{"analyze"}, {"analyze", "--json"}} {
		_, out, _ = amphora(t, append(how, plain)...)
		assert.NotContains(t, out, "unsure")
		assert.NotContains(t, out, `"doubt"`)
	}
}
