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

const each = 0x0101010101010101 // one in every byte

// stops marks the bytes that are no digits, given the window with '0' taken
// out of every byte. Marks above the first are good only up to a byte that is
// neither digit nor point.
func stops(w uint64) uint64 { return (w | w + each*6) & (each * 0xf0) }

// valueOf turns a window of eight digits, 0 to 9 each, into their number:
// pairs of digits first, then the four pairs at once.
func valueOf(w uint64) uint64 {
	const odd = 0x000000ff000000ff // bytes 0 and 4
	w = w*10 + w>>8
	return ((w&odd)*(100+1000000<<32) + (w>>16&odd)*(1+10000<<32)) >> 32
}

// decimalIn reads the number, digits with or without a point, that a window
// begins with. It returns the number without its point, the digits after the
// point and the length; 0 for the length where it does not end in the window.
func decimalIn(w uint64) (value uint64, places, length int) {
	t := w ^ each*'0'
	stop := stops(t)
	n := bits.TrailingZeros64(stop) >> 3
	if n == 8 {
		return 0, 0, 0
	}
	if w>>(8*uint(n))&0xff != '.' {
		return valueOf(t << (64 - 8*uint(n))), 0, n
	}
	before := uint64(1)<<(8*uint(n)) - 1
	length = bits.TrailingZeros64(stop&^(before<<8|0xff)) >> 3
	if length == 8 {
		return 0, 0, 0
	}
	t = t&before | t>>8&^before // the point is out
	return valueOf(t << (72 - 8*uint(length))), length - n - 1, length
}

// digitsIn counts the digits that a window begins with, and gives their value.
func digitsIn(w uint64) (value uint64, n int) {
	t := w ^ each*'0'
	n = bits.TrailingZeros64(stops(t)) >> 3 // 8 where there is none
	return valueOf(t << (64 - 8*uint(n))), n
}

// longDecimal reads a number that one window cannot hold: up to seven digits
// before the point and up to seven after it. It returns as decimalIn does.
func longDecimal(line []byte, i int) (value uint64, places, length int) {
	value, length = digitsIn(window(line, i))
	if length == 8 || i+length >= len(line) || line[i+length] != '.' {
		return value, 0, length & 7
	}
	part, places := digitsIn(window(line, i+length+1))
	if places == 8 {
		return 0, 0, 0
	}
	return value*whole10[places] + part, places, length + 1 + places
}

// whole10 holds powers of ten up to what one window can hold.
var whole10 = [8]uint64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7}
