package decoders

import (
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRowsOfOneLineOfJSONGetLinesOfTheirOwn(t *testing.T) {
	for text, want := range map[string][]string{
		`[{"t":0,"v":1},{"t":1,"v":2}]`:                          {`[`, `{"t":0,"v":1}`, `{"t":1,"v":2}`, `]`},
		`{"x":[1,2],"rows": [{"a":{"v":1},"c":[3,4]}, {"a":5}]}`: {`{"x":[1,2],"rows": [`, `{"a":{"v":1},"c":[3,4]}`, `{"a":5}`, `]}`},
		`[[0,12.5,1],[1,12.6,1]]`:                                {`[`, `[0,12.5,1]`, `[1,12.6,1]`, `]`},
		`{"names":["t","v"],"rows":[[0,1], [1,2]]}`:              {`{"names":["t","v"],"rows":[`, `[0,1]`, `[1,2]`, `]}`},
		`[{"note":"a \"},{\" b","t":0},{"t":1}]`:                 {`[`, `{"note":"a \"},{\" b","t":0}`, `{"t":1}`, `]`},
		`{"t":0,"v":1}`:                                          {`{"t":0,"v":1}`},
	} {
		for name, r := range map[string]io.Reader{"whole": strings.NewReader(text), "by bytes": iotest.OneByteReader(strings.NewReader(text))} {
			got, err := io.ReadAll(Unroll(r))
			require.NoError(t, err)
			assert.Equal(t, want, strings.Split(strings.TrimSpace(string(got)), "\n"), name)
		}
	}
}

func TestRolledTellsJSONInOneLine(t *testing.T) {
	rows := strings.Repeat(`{"t":0},`, 400)
	assert.True(t, Rolled([]byte("["+rows)))
	assert.False(t, Rolled([]byte("["+strings.ReplaceAll(rows, "},", "},\n"))))
	assert.False(t, Rolled([]byte(`[{"t":0}]`)))
	assert.False(t, Rolled([]byte(strings.Repeat("1,2,3;", 600))))
}
