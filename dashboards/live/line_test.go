package live

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Each byte that cannot be seen, or would make others be seen elsewhere, is written out.
func TestPrintable(t *testing.T) {
	for sent, want := range map[string]string{
		"":                       "",
		"V=13.82 A=4.10":         "V=13.82 A=4.10",
		"12.6 °C, 20 µΩ, 電圧":     "12.6 °C, 20 µΩ, 電圧",
		"tab\tcr\r\x00\x7f":      `tab\x09cr\x0d\x00\x7f`,
		"\x1b[31mred":            `\x1b[31mred`,
		"\xff\xc2":               `\xff\xc2`,
		"\u00a012\u2028":         `\xc2\xa012\xe2\x80\xa8`, // a blank and a line that are none
		"\u202e82.31":            `\xe2\x80\xae82.31`,      // turns the text around
		"\ufffd, as it was sent": "\ufffd, as it was sent",
	} {
		assert.Equal(t, want, Printable([]byte(sent)), "%q", sent)
	}
}
