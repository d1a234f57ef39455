package durable

import (
	"bytes"
	"fmt"
	"hash/crc32"
)

// A sealed file is lines of text with a checksum each, so that damage costs the line
// it hits and no other:
//
//	7d9f2c31 amphora-mqtt 1
//	0c7be01a {"topic":"amphora/state"}
//	51e0a9d4 end 1
//
// The first says what it is, the last how many are between. The checksum is the CRC-32C
// of what stands behind it, as in the journal.

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

func seal(to []byte, line []byte) []byte {
	return fmt.Appendf(to, "%08x %s\n", crc32.Checksum(line, castagnoli), line)
}

// Seal writes lines, which hold no line feed, under a mark of what they are.
func Seal(mark string, lines [][]byte) []byte {
	b := seal(nil, []byte(mark))
	for _, line := range lines {
		b = seal(b, line)
	}
	return seal(b, fmt.Append(nil, "end ", len(lines)))
}

// Unseal gives back the lines that are sound, in their order, with an error if these
// are not all.
func Unseal(mark string, content []byte) (lines [][]byte, err error) {
	marked, ended, spoilt := false, false, 0
	for len(content) > 0 {
		var line []byte
		line, content, _ = bytes.Cut(content, []byte("\n"))
		text, sound := unseal(line)
		switch {
		case !sound:
			spoilt++
		case !marked && string(text) == mark:
			marked = true
		case string(text) == fmt.Sprint("end ", len(lines)):
			ended = true
		case bytes.HasPrefix(text, []byte("end ")):
		default:
			lines = append(lines, bytes.Clone(text))
		}
	}
	switch {
	case spoilt > 0:
		return lines, fmt.Errorf("damaged: %d of its lines are not what was written, %d are", spoilt, len(lines))
	case !marked:
		return nil, fmt.Errorf("it does not begin with %q", mark)
	case !ended:
		return lines, fmt.Errorf("damaged: it is not whole, %d of its lines are there", len(lines))
	}
	return lines, nil
}

func unseal(line []byte) (text []byte, sound bool) {
	if len(line) < 9 {
		return nil, false
	}
	text = line[9:]
	return text, bytes.Equal(line, bytes.TrimSuffix(seal(nil, text), []byte("\n")))
}
