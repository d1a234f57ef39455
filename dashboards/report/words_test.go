package report

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

func TestTable(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Table(&b, []string{"name", "V", ""}, [][]string{{"mower", "12.7", "two\nlines"}, {"Gerät", "", ""}, {"a", "-3", "x"}}))
	assert.Equal(t, ""+
		"name      V\n"+
		"mower  12.7  two?lines\n"+
		"Gerät     -  -\n"+
		"a        -3  x\n", b.String())
}

func TestTableWithoutNumbers(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Table(&b, []string{"Ah", "state"}, [][]string{{"", "in use"}}))
	assert.Equal(t, "Ah  state\n-   in use\n", b.String(), "dashes alone are no numbers")
}

func TestParagraph(t *testing.T) {
	var b bytes.Buffer
	words := strings.Repeat("äußerst kurz ", 40)
	require.NoError(t, Paragraph(&b, "  - ", words+"\x1b[2J"))
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	assert.Greater(t, len(lines), 5)
	for n, line := range lines {
		assert.LessOrEqual(t, utf8.RuneCountInString(line), pageWidth)
		assert.Equal(t, n == 0, strings.HasPrefix(line, "  - "))
		assert.Equal(t, n > 0, strings.HasPrefix(line, "    "))
	}
	assert.Equal(t, strings.Fields("- "+words+"?[2J"), strings.Fields(b.String()), "no word is lost")
}

func TestNumbersAreWrittenWithoutPowersOfTen(t *testing.T) {
	for _, c := range []struct {
		n      analyze.Number
		digits int
		want   string
	}{{0.00009, 2, "0.00009"}, {0.5512, 2, "0.55"}, {0.3, 2, "0.3"}, {24137.6, 4, "24140"}, {0, 2, "0"}, {analyze.Number(analyze.Unknown()), 2, "-"}} {
		assert.Equal(t, c.want, plainly(c.n, c.digits))
	}
}
