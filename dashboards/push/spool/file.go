package spool

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"strconv"
	"strings"
)

// A file of the spool is a line, a line of JSON, and the batch compressed with gzip
// (RFC 1952), as it will be sent:
//
//	amphora-spool 1 42 5000 1c291ca3
//	{"bench":90210}
//	...
//
// The numbers are the version, the batch's own, and its points; the checksum is the
// CRC-32C of both numbers as they stand there and of all behind the first line. The
// JSON names the last record of each channel that is in this batch or was in one
// before it. A file without a batch in it only says that.
const fileMark = "amphora-spool 1 "

// mostFile bounds what is read of one file, in bytes.
const mostFile = 16 << 20

var errDamaged = errors.New("damaged")

// stored is the content of a file.
type stored struct {
	number uint64
	points int
	marks  map[string]uint64
	body   []byte
}

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

func (s *stored) marshal() ([]byte, error) {
	marks, err := json.Marshal(s.marks)
	if err != nil {
		return nil, err
	}
	numbers := fmt.Sprintf("%d %d", s.number, s.points)
	rest := append(append(marks, '\n'), s.body...)
	return fmt.Appendf(nil, "%s%s %s\n%s", fileMark, numbers, checksum(numbers, rest), rest), nil
}

func checksum(numbers string, rest []byte) string {
	return fmt.Sprintf("%08x", crc32.Update(crc32.Checksum([]byte(numbers), castagnoli), castagnoli, rest))
}

// parse reads a file back. The body is part of b.
func parse(b []byte) (*stored, error) {
	head, rest, ok := bytes.Cut(b, []byte("\n"))
	text, ours := strings.CutPrefix(string(head), fileMark)
	if !ok || !ours {
		return nil, fmt.Errorf("%w: it does not begin with %q", errDamaged, fileMark)
	}
	numbers, sum := text, ""
	if k := strings.LastIndexByte(text, ' '); k >= 0 {
		numbers, sum = text[:k], text[k+1:]
	}
	if sum != checksum(numbers, rest) {
		return nil, fmt.Errorf("%w: the checksum does not match", errDamaged)
	}
	s := &stored{}
	number, points, _ := strings.Cut(numbers, " ")
	n, err := strconv.ParseUint(number, 10, 64)
	p, err2 := strconv.ParseUint(points, 10, 31)
	marks, body, ok := bytes.Cut(rest, []byte("\n"))
	if err := errors.Join(err, err2, json.Unmarshal(marks, &s.marks)); err != nil || !ok {
		return nil, fmt.Errorf("%w: its first lines cannot be read: %w", errDamaged, err)
	}
	s.number, s.points, s.body = n, int(p), body
	return s, nil
}

// A batch's file is named for its number and its points, so that how much waits is
// known without opening any.
const batchSuffix = ".batch"

func batchName(number uint64, points int) string {
	return fmt.Sprintf("%020d-%d%s", number, points, batchSuffix)
}

// parseName is batchName the other way round.
func parseName(name string) (number uint64, points int, ok bool) {
	digits, count, found := strings.Cut(strings.TrimSuffix(name, batchSuffix), "-")
	n, err := strconv.ParseUint(digits, 10, 64)
	p, err2 := strconv.ParseUint(count, 10, 31)
	if !found || err != nil || err2 != nil || batchName(n, int(p)) != name {
		return 0, 0, false
	}
	return n, int(p), true
}

// marksFile holds how far everything is delivered or on disk.
const marksFile = "after"
