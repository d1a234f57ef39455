package decoders

import (
	"bytes"
	"io"
	"testing"
	"testing/iotest"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// However a reader cuts the text, the same lines come out of the conversion.
func TestTextIsTheSameHoweverItIsCut(t *testing.T) {
	const text = "Zeit;Spannung [V];Temp °C\r\n1;12,65;18\n𝛀;ä\r"
	for _, e := range []Encoding{UTF8, UTF8Mark, UTF16LE, UTF16BE} {
		raw := encode(text, e)
		assert.Equal(t, e, Text(raw[:40]))
		for name, cut := range map[string]func(io.Reader) io.Reader{
			"whole": func(r io.Reader) io.Reader { return r }, "bytes": iotest.OneByteReader,
			"halves": iotest.HalfReader, "end with data": iotest.DataErrReader,
		} {
			got, err := io.ReadAll(e.Reader(cut(bytes.NewReader(raw))))
			require.NoError(t, err)
			assert.Equal(t, text, string(got), "encoding %d, %s", e, name)
		}
	}
	assert.Equal(t, UTF16LE, Text(encode("1;2;3;4;5;6", UTF16LE)[2:]), "without its mark")
	assert.Equal(t, UTF8, Text([]byte("Temp \xb0C;1;2;3")), "Latin-1 passes as it is")
}

func encode(s string, e Encoding) []byte {
	switch e {
	case UTF8Mark:
		return append([]byte{0xef, 0xbb, 0xbf}, s...)
	case UTF16LE, UTF16BE:
		var out []byte
		units := append([]uint16{0xfeff}, utf16.Encode([]rune(s))...)
		for _, u := range units {
			if e == UTF16LE {
				out = append(out, byte(u), byte(u>>8))
			} else {
				out = append(out, byte(u>>8), byte(u))
			}
		}
		return out
	}
	return []byte(s)
}
