package live

import (
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"amphora/analyze"
)

// Became says what became of a raw line.
type Became string

// What may become of a line.
const (
	BecameReading    Became = "reading"
	BecameRefused    Became = "refused"     // it should have been a reading
	BecamePassedOver Became = "passed-over" // it never was one: a header, a banner
	BecameWaiting    Became = "waiting"     // no decoder fits yet
	BecameMark       Became = "mark"        // no line of the device: word of the source itself
)

// Line is one of the last raw lines of a channel, and what became of it.
type Line struct {
	Number  uint64         `json:"number"` // of its record in the journal
	At      time.Time      `json:"at"`
	Meter   Text           `json:"meter"` // voltage or current, where two meters share the channel
	Text    string         `json:"text"`  // see Printable
	Bytes   int            `json:"bytes"` // of the line; where Text was cut it has fewer
	Became  Became         `json:"became"`
	Why     Text           `json:"why"` // it is no reading
	Volts   analyze.Number `json:"volts"`
	Amps    analyze.Number `json:"amps"`
	Celsius analyze.Number `json:"celsius"`
}

// Printable writes what a device sent so that each byte of it can be seen: what
// is no visible character, a line break of the screen or a sign that turns the
// text around stands as \xNN.
func Printable(text []byte) string {
	var b strings.Builder
	for len(text) > 0 {
		r, n := utf8.DecodeRune(text)
		if r == utf8.RuneError && n == 1 || !unicode.IsPrint(r) {
			for _, c := range text[:n] {
				fmt.Fprintf(&b, `\x%02x`, c)
			}
		} else {
			b.Write(text[:n])
		}
		text = text[n:]
	}
	return b.String()
}
