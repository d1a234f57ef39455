package decoders

import (
	"encoding/binary"
	"math/bits"
)

// Eight bytes at a time. A row of numbers costs most where a loop over digits
// ends: its length differs from number to number and the processor guesses
// wrong. Eight bytes in one word need no loop: the first byte that is no digit
// is found by arithmetic on all of them at once, and three multiplications
// turn the digits before it into their value.

// window is the eight bytes of line from i on, the first one lowest; beyond
// the end they are zero. The line has at least eight bytes.
func window(line []byte, i int) uint64 {
	if i+8 <= len(line) {
		return binary.LittleEndian.Uint64(line[i:])
	}
	return binary.LittleEndian.Uint64(line[len(line)-8:]) >> (8 * uint(i+8-len(line)))
}

// digitsIn counts the digits that a window begins with, and gives their value.
func digitsIn(w uint64) (value uint64, n int) {
	const each = 0x0101010101010101
	w ^= each * '0'                          // digits become 0 to 9
	stop := (w | w + each*6) & (each * 0xf0) // the first set bit is in the first byte over 9
	n = bits.TrailingZeros64(stop) >> 3      // 8 where there is none
	w <<= uint(8-n) << 3                     // zeros before the digits
	w = w*10 + w>>8                          // pairs, in every other byte
	const odd = 0x000000ff000000ff           // bytes 0 and 4
	a := (w & odd) * (100 + 1000000<<32)     // first and third pair
	b := (w >> 16 & odd) * (1 + 10000<<32)   // second and fourth
	return (a + b) >> 32, n
}
