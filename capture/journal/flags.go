package journal

import (
	"bytes"
	"math/bits"

	"amphora/capture"
)

// flagWords name the bits of capture.Flags, lowest first, so that grep finds
// " lost " and " marked ". The last one is not in use yet, but it must come back as it
// went in.
var flagWords = [8]string{"fragment", "overlong", "opened", "lost", "marked", "burst", "doubted", "bit7"}

// noFlags stands in the flags' column of an ordinary line.
const noFlags = '-'

func appendFlags(dst []byte, f capture.Flags) []byte {
	if f == 0 {
		return append(dst, noFlags)
	}
	for rest := uint8(f); rest != 0; rest &= rest - 1 {
		if rest != uint8(f) {
			dst = append(dst, '+')
		}
		dst = append(dst, flagWords[bits.TrailingZeros8(rest)]...)
	}
	return dst
}

func parseFlags(text []byte) (f capture.Flags, ok bool) {
	if len(text) == 1 && text[0] == noFlags {
		return 0, true
	}
	for more := true; more; {
		var word []byte
		word, text, more = bytes.Cut(text, []byte{'+'})
		bit := flagBit(word)
		if bit == 0 {
			return 0, false
		}
		f |= bit
	}
	return f, true
}

func flagBit(word []byte) capture.Flags {
	for i, w := range flagWords {
		if string(word) == w {
			return 1 << i
		}
	}
	return 0
}
