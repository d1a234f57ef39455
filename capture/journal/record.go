package journal

import (
	"bytes"
	"strconv"
	"time"

	"amphora/capture"
)

// Record is one line of the journal.
type Record struct {
	// Seq counts the records of a channel from 1, never back and never twice.
	// It alone gives the order: wall clocks jump.
	Seq uint64
	// BootID tells which start of the machine Frame.Boot counts from. It is
	// empty if the segment's header was damaged.
	BootID string
	capture.Frame
}

// maxText is the longest text of a record in bytes. Append cuts what is longer
// and flags it; capture cuts far earlier.
const maxText = 16 << 10

// maxLine is longer than any record: four bytes for each of the text, and room
// for the columns before it.
const maxLine = 4*maxText + 256

// minLine is shorter than any record: checksum, number, stamps, a flag, no text.
const minLine = 54

// stampLayout is RFC 3339 in UTC with all nine decimals, so that every stamp
// has the same width.
const stampLayout = "2006-01-02T15:04:05.000000000Z"

// appendRecord adds one whole line:
//
//	c0ffee12 41 2026-11-25T08:29:15.000000000Z 86400.250000000 - V=13.82 A=4.10
//	checksum number wall clock, UTC            seconds of boot flags text
func appendRecord(dst []byte, seq uint64, f *capture.Frame) []byte {
	text, flags := f.Text, f.Flags
	if len(text) > maxText {
		text, flags = text[:maxText], flags|capture.Overlong
	}
	start := len(dst)
	dst = append(dst, "00000000 "...)
	dst = strconv.AppendUint(dst, seq, 10)
	dst = append(dst, ' ')
	dst = writable(f.Wall).AppendFormat(dst, stampLayout)
	dst = append(dst, ' ')
	dst = appendSeconds(dst, f.Boot)
	dst = append(dst, ' ')
	dst = appendFlags(dst, flags)
	dst = append(dst, ' ')
	dst = appendEscaped(dst, text)
	seal(dst[start:])
	return append(dst, '\n')
}

// writable is t in UTC, kept within the years that four digits can write. A
// broken clock may show any year.
func writable(t time.Time) time.Time {
	t = t.UTC()
	switch {
	case t.Year() < 0:
		return time.Date(0, 1, 1, 0, 0, 0, 0, time.UTC)
	case t.Year() > 9999:
		return time.Date(9999, 12, 31, 23, 59, 59, 999999999, time.UTC)
	}
	return t
}

// dayOf counts days of UTC since 1970.
func dayOf(t time.Time) int {
	const day = 24 * 60 * 60
	s := writable(t).Unix()
	if s < 0 {
		s -= day - 1
	}
	return int(s / day)
}

func appendSeconds(dst []byte, d time.Duration) []byte {
	u := uint64(d)
	if d < 0 {
		dst, u = append(dst, '-'), -u
	}
	dst = strconv.AppendUint(dst, u/1e9, 10)
	dst = append(dst, '.')
	frac := u % 1e9
	for unit := uint64(1e8); unit > 0; unit /= 10 {
		dst = append(dst, byte('0'+frac/unit%10))
	}
	return dst
}

// parser reads records. It remembers the last date, because thousands of lines
// share one, and keeps the room for texts with escapes.
type parser struct {
	date     [len("2006-01-02")]byte
	midnight int64 // of date, in seconds since 1970
	scratch  []byte
}

// parse reads one line without its end into rec, leaving rec.BootID alone.
// rec.Text points into line or into the parser. A line that appendRecord could
// not have written is refused.
func (p *parser) parse(line []byte, rec *Record) bool {
	body, ok := sealed(line)
	if !ok {
		return false
	}
	seq, body, ok1 := bytes.Cut(body, space)
	wall, body, ok2 := bytes.Cut(body, space)
	boot, body, ok3 := bytes.Cut(body, space)
	flags, text, ok4 := bytes.Cut(body, space)
	if !ok1 || !ok2 || !ok3 || !ok4 {
		return false
	}
	if rec.Seq, ok = parseUint(seq); !ok || rec.Seq == 0 {
		return false
	}
	if rec.Wall, ok = p.parseStamp(wall); !ok {
		return false
	}
	if rec.Boot, ok = parseSeconds(boot); !ok {
		return false
	}
	if rec.Flags, ok = parseFlags(flags); !ok {
		return false
	}
	rec.Text, p.scratch, ok = unescape(text, p.scratch)
	return ok
}

// find is parse for a line that may have other bytes in front of its record:
// where the line end between two records was hit, only the first of them is
// lost. It tells how many bytes it passed over.
func (p *parser) find(line []byte, rec *Record) (skipped int, ok bool) {
	if p.parse(line, rec) {
		return 0, true
	}
	for i := 1; i+sealLen < len(line); i++ {
		if line[i+8] != ' ' || line[i+9] < '1' || line[i+9] > '9' {
			continue // no number behind eight digits and a space
		}
		if p.parse(line[i:], rec) {
			return i, true
		}
	}
	return 0, false
}

var space = []byte{' '}

// parseUint reads a decimal number below 10^19, which an uint64 can hold.
func parseUint(text []byte) (n uint64, ok bool) {
	if len(text) == 0 || len(text) > 19 {
		return 0, false
	}
	for _, b := range text {
		if b < '0' || b > '9' {
			return 0, false
		}
		n = n*10 + uint64(b-'0')
	}
	return n, true
}

// parseStamp reads stampLayout, about ten times faster than time.Parse.
func (p *parser) parseStamp(text []byte) (time.Time, bool) {
	if len(text) != len(stampLayout) || text[10] != 'T' || text[13] != ':' || text[16] != ':' || text[19] != '.' || text[29] != 'Z' {
		return time.Time{}, false
	}
	if string(p.date[:]) != string(text[:10]) {
		t, err := time.Parse(time.DateOnly, string(text[:10]))
		if err != nil {
			return time.Time{}, false
		}
		copy(p.date[:], text)
		p.midnight = t.Unix()
	}
	h, ok1 := parseUint(text[11:13])
	m, ok2 := parseUint(text[14:16])
	s, ok3 := parseUint(text[17:19])
	ns, ok4 := parseUint(text[20:29])
	if !ok1 || !ok2 || !ok3 || !ok4 || h > 23 || m > 59 || s > 59 {
		return time.Time{}, false
	}
	return time.Unix(p.midnight+int64(h*3600+m*60+s), int64(ns)).UTC(), true
}

func parseSeconds(text []byte) (time.Duration, bool) {
	negative := len(text) > 0 && text[0] == '-'
	if negative {
		text = text[1:]
	}
	whole, frac, ok := bytes.Cut(text, []byte{'.'})
	s, ok1 := parseUint(whole)
	ns, ok2 := parseUint(frac)
	// 2^63 ns is a little over 9223372036 s.
	if !ok || !ok1 || !ok2 || len(frac) != 9 || s > 9223372036 {
		return 0, false
	}
	d := time.Duration(s*1e9 + ns)
	if negative {
		d = -d
	}
	return d, true
}
