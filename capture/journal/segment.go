package journal

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
)

// formatVersion is the version of the format that this package writes. It reads no
// other.
const formatVersion = 1

// What the names of a channel's files end in.
const (
	plainEnd   = ".log"
	packedEnd  = ".log.zst"
	newEnd     = ".new"   // being written; becomes whole by a rename
	tornMiddle = ".torn-" // damaged bytes set aside: <segment>.torn-<offset>
)

// Segment is one file of a channel. It owns the records from First up to the
// next segment's First, exclusive: after a failed sync the next segment repeats
// the last records of the one before, and then only the repetition counts.
type Segment struct {
	Channel string
	Path    string    // the file, inside the data folder
	Day     time.Time // midnight UTC of the day on its first record's wall clock
	First   uint64    // number of its first record
	Last    uint64    // number of the last it owns; 0 for the newest, which has no end yet
	Packed  bool      // compressed
}

// segmentName is the file's name without its end. Twelve digits keep the names
// in order for thirty thousand years at one line a second; longer ones work too.
func segmentName(day int, first uint64) string {
	date := time.Unix(int64(day)*24*60*60, 0).UTC().Format(time.DateOnly)
	return fmt.Sprintf("%s-%012d", date, first)
}

// parseSegmentName takes apart "2026-11-25-000000000041.log" or ".log.zst".
func parseSegmentName(name string) (seg Segment, ok bool) {
	stem, packed := strings.CutSuffix(name, packedEnd)
	if !packed {
		if stem, ok = strings.CutSuffix(name, plainEnd); !ok {
			return Segment{}, false
		}
	}
	const dateLen = len(time.DateOnly)
	if len(stem) < dateLen+2 || stem[dateLen] != '-' {
		return Segment{}, false
	}
	day, err := time.Parse(time.DateOnly, stem[:dateLen])
	if err != nil {
		return Segment{}, false
	}
	first, ok := parseUint([]byte(stem[dateLen+1:]))
	if !ok || first == 0 {
		return Segment{}, false
	}
	return Segment{Day: day, First: first, Packed: packed}, true
}

// listSegments lists the files of a channel in the order of their records. A folder
// that does not exist has none.
func listSegments(fsys FS, dir, channel string) ([]Segment, error) {
	folder := channelDir(dir, channel)
	names, err := fsys.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("list the journal of channel %q: %w", channel, err)
	}
	var segs []Segment
	for _, name := range names {
		if seg, ok := parseSegmentName(name); ok {
			seg.Channel, seg.Path = channel, filepath.Join(folder, name)
			segs = append(segs, seg)
		}
	}
	slices.SortFunc(segs, func(a, b Segment) int {
		return cmp.Or(cmp.Compare(a.First, b.First), a.Day.Compare(b.Day), cmp.Compare(len(a.Path), len(b.Path)))
	})
	// Compression leaves both files if it is interrupted; the original counts.
	segs = slices.CompactFunc(segs, func(a, b Segment) bool { return a.First == b.First && a.Day.Equal(b.Day) })
	for i := range len(segs) - 1 {
		segs[i].Last = segs[i+1].First - 1
	}
	return segs, nil
}

// header is the first line of a segment.
type header struct {
	version int
	first   uint64
	bootID  string
	channel string
}

const headerMark = "amphora-journal"

// appendHeader adds the header line:
//
//	c0ffee12 amphora-journal 1 first=41 boot=6f1c... channel=bench left
func appendHeader(dst []byte, h header) []byte {
	start := len(dst)
	dst = append(dst, "00000000 "...)
	dst = fmt.Appendf(dst, "%s %d first=%d boot=%s channel=", headerMark, h.version, h.first, h.bootID)
	dst = appendEscaped(dst, []byte(h.channel))
	seal(dst[start:])
	return append(dst, '\n')
}

// parseHeader reads a header line without its end. Of another version only the
// number is read.
func parseHeader(line []byte) (h header, ok bool) {
	body, ok := sealed(line)
	if !ok {
		return h, false
	}
	body, ok = bytes.CutPrefix(body, []byte(headerMark+" "))
	if !ok {
		return h, false
	}
	number, rest, _ := bytes.Cut(body, space)
	if h.version, ok = atoi(number); !ok || h.version != formatVersion {
		return h, ok
	}
	first, rest, ok1 := cutField(rest, "first=")
	boot, rest, ok2 := cutField(rest, "boot=")
	rest, ok3 := bytes.CutPrefix(rest, []byte("channel="))
	channel, _, ok4 := unescape(rest, nil)
	if !ok1 || !ok2 || !ok3 || !ok4 {
		return h, false
	}
	h.bootID, h.channel = string(boot), string(channel)
	h.first, ok = parseUint(first)
	return h, ok
}

func cutField(text []byte, key string) (value, rest []byte, ok bool) {
	value, rest, _ = bytes.Cut(text, space)
	value, ok = bytes.CutPrefix(value, []byte(key))
	return value, rest, ok
}

func atoi(text []byte) (int, bool) {
	n, err := strconv.Atoi(string(text))
	return n, err == nil && n > 0
}
