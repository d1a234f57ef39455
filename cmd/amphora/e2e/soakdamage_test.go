//go:build linux

package e2e

import (
	"math/rand/v2"
	"regexp"

	"amphora/dashboards/live"

	"github.com/stretchr/testify/assert"
)

// damage is what will be done to the lines of a channel, now and then to one.
type damage struct {
	holes   int    // in which the end of a line, some whole ones and the beginning of another are lost
	changes int    // of a few bytes of a line
	head    string // of a line with a hole
	within  bool   // it is in the hole
	lost    int    // so many whole lines are still to be lost in it
	sound   int    // so many lines come through before the next is damaged
}

// apart is how many lines at least come through between two that are damaged. Two in a
// row that tell two wrong times nobody can tell from a clock that was set.
const apart = 6

// pass returns what is left of a line, and whether there is any to be said.
func (d *damage) pass(chance *rand.Rand, line string) (text string, damaged, say bool) {
	switch {
	case d.lost > 0:
		d.lost--
		return "", true, false
	case d.within:
		d.within = false
		text = d.head + line[chance.IntN(len(line)+1):]
		return text, true, text != ""
	case d.sound > 0:
		d.sound--
		return line, false, true
	case d.holes > 0:
		d.holes--
		d.head, d.within, d.lost = line[:chance.IntN(len(line)+1)], true, chance.IntN(4)
		d.sound = apart + chance.IntN(10)
		return "", true, false
	case d.changes > 0:
		d.changes--
		d.sound = apart + chance.IntN(10)
		return changed(chance, line), true, true
	}
	return line, false, true
}

// changed has a few other bytes than the line, more or fewer.
func changed(chance *rand.Rand, line string) string {
	b := []byte(line)
	for range 1 + chance.IntN(3) {
		at := chance.IntN(len(b))
		switch c := anyByte(chance); chance.IntN(4) {
		case 0:
			b = append(b[:at], append([]byte{c}, b[at:]...)...)
		case 1:
			b = append(b[:at], b[at+1:]...)
		case 2:
			b[at] ^= 1 << chance.IntN(7) // a bit of it
			if b[at] == '\r' || b[at] == '\n' {
				b[at] = c
			}
		default:
			b[at] = c
		}
		if len(b) == 0 {
			return "?"
		}
	}
	return string(b)
}

// anyByte is any but the end of a line.
func anyByte(chance *rand.Rand) byte {
	for {
		if c := byte(chance.IntN(256)); c != '\r' && c != '\n' {
			return c
		}
	}
}

// makeNoise says what nobody wrote, with ends of lines in it as they come. Each line of
// it is told of.
func (h *house) makeNoise(f planned) {
	before := len(h.observers[f.channel].copy)
	for range 1 + f.size/8 {
		h.say(f.channel, noiseOf(h.chance), true)
	}
	said := h.observers[f.channel].copy[before:]
	h.caughtUp()
	var unread []live.Line
	for _, l := range h.lines(f.channel) {
		if l.Became != live.BecameReading {
			unread = append(unread, l)
		}
	}
	for _, s := range said {
		found := false
		for _, l := range unread {
			found = found || l.Bytes == len(s.text)
		}
		assert.True(h.t, found, "nobody was told of %q", s.text)
	}
}

// noiseOf is no text of any device. It begins and ends with what cannot be taken for
// anything else.
func noiseOf(chance *rand.Rand) string {
	odd := func() byte { return 0x80 + byte(chance.IntN(0x80)) }
	b := []byte{odd()}
	for range chance.IntN(120) {
		switch chance.IntN(20) {
		case 0, 1, 2:
			b = append(b, 0)
		case 3:
			b = append(b, "\r\n"[chance.IntN(2)])
		default:
			b = append(b, anyByte(chance))
		}
	}
	return string(append(b, odd()))
}

// ends are the ends of lines.
var ends = regexp.MustCompile("\r\n|\r|\n")
