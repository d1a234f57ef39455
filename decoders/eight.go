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
func stops(w uint64) uint64 { return (w | (w + each*6)) & (each * 0xf0) }

// valueOf turns a window of eight digits, 0 to 9 each, into their number:
// pairs of digits first, then the four pairs at once.
func valueOf(w uint64) uint64 {
	const odd = 0x000000ff000000ff // bytes 0 and 4
	w = w*10 + w>>8
	return ((w&odd)*(100+1000000<<32) + (w>>16&odd)*(1+10000<<32)) >> 32
}

// decimalAt reads the number at i, digits with or without a point, of at most
// fifteen digits in all, which a float64 holds exactly. It returns the number
// without its point, the digits after the point and the length, 0 where there is
// no such number.
func decimalAt(line []byte, i int) (value uint64, places, length int) {
	whole := window(line, i) ^ each*'0'
	n := bits.TrailingZeros64(stops(whole)) >> 3
	point := i + n
	if n == 8 {
		return longAt(line, i, whole)
	}
	if point >= len(line) || line[point] != '.' {
		return valueOf(whole << (64 - 8*uint(n))), 0, n
	}
	part := window(line, point+1) ^ each*'0'
	places = bits.TrailingZeros64(stops(part)) >> 3
	switch digits := n + places; {
	case digits == 0 || places == 8:
		return 0, 0, 0
	case digits > 8:
		return valueOf(whole<<(64-8*uint(n)))*powers[places] + valueOf(part<<(64-8*uint(places))), places, n + 1 + places
	}
	both := whole&(1<<(8*uint(n))-1) | part<<(8*uint(n))
	return valueOf(both << (64 - 8*uint(n+places))), places, n + 1 + places
}

// longAt reads a number that begins with eight digits, as seconds since 1970 do.
func longAt(line []byte, i int, first uint64) (value uint64, places, length int) {
	value = valueOf(first)
	i, length = i+8, 8
	if i < len(line) && line[i] != '.' {
		more := window(line, i) ^ each*'0'
		n := bits.TrailingZeros64(stops(more)) >> 3
		if n == 8 {
			return 0, 0, 0
		}
		value = value*powers[n] + valueOf(more<<(64-8*uint(n)))
		i, length = i+n, length+n
	}
	if i >= len(line) || line[i] != '.' {
		return value, 0, length
	}
	part := window(line, i+1) ^ each*'0'
	places = bits.TrailingZeros64(stops(part)) >> 3
	if length+places > 15 {
		return 0, 0, 0
	}
	return value*powers[places] + valueOf(part<<(64-8*uint(places))), places, length + 1 + places
}

// powers of ten for the digits of one window.
var powers = [...]uint64{1, 10, 100, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8}
