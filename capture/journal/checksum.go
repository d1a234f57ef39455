package journal

import "hash/crc32"

// castagnoli is CRC-32C (RFC 3720, appendix B.4): processors compute it in
// hardware, and it finds every burst of up to 32 bits.
var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// sealLen is the length of what stands before the sealed text: eight hex digits
// and a space.
const sealLen = 9

// seal writes the checksum of line[sealLen:] into the room left before it.
func seal(line []byte) {
	sum := crc32.Checksum(line[sealLen:], castagnoli)
	for i := range 8 {
		line[i] = hexDigits[sum>>(28-4*i)&15]
	}
	line[8] = ' '
}

// sealed returns the text behind the checksum if the checksum fits it.
func sealed(line []byte) ([]byte, bool) {
	if len(line) <= sealLen || line[8] != ' ' {
		return nil, false
	}
	var sum uint32
	for _, b := range line[:8] {
		v := hexValue(b)
		if v < 0 {
			return nil, false
		}
		sum = sum<<4 | uint32(v)
	}
	return line[sealLen:], crc32.Checksum(line[sealLen:], castagnoli) == sum
}
