package journal

import (
	"bytes"
	"hash/crc32"
	"math"
	"testing"
	"time"

	"amphora/capture"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheChecksumIsThePublishedOne(t *testing.T) {
	// RFC 3720, appendix B.4: 32 bytes of zeros give aa 36 91 8a, least
	// significant byte first, that is 8a9136aa.
	assert.Equal(t, uint32(0x8a9136aa), crc32.Checksum(make([]byte, 32), castagnoli))
	line := append([]byte("01234567 "), make([]byte, 32)...)
	seal(line)
	assert.Equal(t, "8a9136aa ", string(line[:sealLen]))
	_, ok := sealed(line)
	assert.True(t, ok)
}

func TestARecordLooksAsTheFormatPageSays(t *testing.T) {
	f := capture.Frame{
		Wall: time.Date(2026, 11, 25, 9, 29, 15, 1500, time.FixedZone("", 3600)),
		Boot: 86400*time.Second + 250*time.Millisecond,
		Text: []byte("V=13.82\tA=4.10\\\x00\xc2\xb0C"),
	}
	line := string(appendRecord(nil, 41, &f))
	assert.Equal(t, `41 2026-11-25T08:29:15.000001500Z 86400.250000000 - V=13.82\tA=4.10\\\x00\xc2\xb0C`+"\n", line[sealLen:])

	f = capture.Frame{Flags: capture.Fragment | capture.Burst, Text: []byte("a  b ")}
	line = string(appendRecord(nil, 1, &f))
	assert.Equal(t, "1 0001-01-01T00:00:00.000000000Z 0.000000000 fragment+burst a  b \n", line[sealLen:])
}

func TestEveryFrameComesBackByteForByte(t *testing.T) {
	allBytes := make([]byte, 256)
	for i := range allBytes {
		allBytes[i] = byte(i)
	}
	var p parser
	check := func(f capture.Frame) {
		t.Helper()
		line := appendRecord(nil, math.MaxInt64, &f)
		assert.NotContains(t, string(line[:len(line)-1]), "\n")
		for _, b := range line[:len(line)-1] {
			require.True(t, b >= 0x20 && b < 0x7f, "byte %#x is not printable ASCII", b)
		}
		var rec Record
		require.True(t, p.parse(line[:len(line)-1], &rec), "%q", line)
		assert.Equal(t, uint64(math.MaxInt64), rec.Seq)
		assert.True(t, f.Wall.Equal(rec.Wall))
		assert.Equal(t, f.Boot, rec.Boot)
		assert.Equal(t, f.Flags, rec.Flags)
		assert.True(t, bytes.Equal(f.Text, rec.Text), "%q came back as %q", f.Text, rec.Text)
	}
	for flags := range 256 {
		check(capture.Frame{Wall: evening, Flags: capture.Flags(flags), Text: allBytes})
	}
	for _, text := range []string{"", " ", "\\", `\n`, "x\\", "\x7f", "\r", "\n", "µV"} {
		check(capture.Frame{Wall: evening, Text: []byte(text)})
	}
	for _, boot := range []time.Duration{0, 1, -1, math.MaxInt64, math.MinInt64, -1500 * time.Millisecond} {
		check(capture.Frame{Wall: evening, Boot: boot})
	}
	for _, wall := range []time.Time{
		{}, time.Unix(0, 0), time.Unix(-1, 999999999), evening.Add(1), time.Date(9999, 12, 31, 23, 59, 59, 999999999, time.UTC),
		time.Date(2024, 2, 29, 23, 59, 59, 0, time.UTC),
	} {
		check(capture.Frame{Wall: wall})
	}
}

func TestYearsThatFourDigitsCannotWriteAreKeptInside(t *testing.T) {
	var p parser
	var rec Record
	for wall, want := range map[time.Time]string{
		time.Date(-1, 6, 1, 0, 0, 0, 0, time.UTC):    "0000-01-01",
		time.Date(20260, 6, 1, 0, 0, 0, 0, time.UTC): "9999-12-31",
	} {
		line := appendRecord(nil, 1, &capture.Frame{Wall: wall})
		require.True(t, p.parse(line[:len(line)-1], &rec))
		assert.Equal(t, want, rec.Wall.Format(time.DateOnly))
	}
}

func TestALongTextIsCutAndSaysSo(t *testing.T) {
	text := bytes.Repeat([]byte{0}, maxText+1) // the longest form: four bytes each
	line := appendRecord(nil, math.MaxInt64, &capture.Frame{Boot: math.MinInt64, Flags: 0xff, Text: text})
	assert.Less(t, len(line), maxLine)
	var p parser
	var rec Record
	require.True(t, p.parse(line[:len(line)-1], &rec))
	assert.Len(t, rec.Text, maxText)
	line = appendRecord(nil, 1, &capture.Frame{Text: text})
	require.True(t, p.parse(line[:len(line)-1], &rec))
	assert.Equal(t, capture.Overlong, rec.Flags)
}

// A right checksum over a wrong layout: nothing that this package wrote.
func TestLinesThatAreNoRecords(t *testing.T) {
	const stamp = "2026-11-25T08:29:15.000000000Z"
	for _, body := range []string{
		"", "1", "1 " + stamp, "1 " + stamp + " 0.000000000", "1 " + stamp + " 0.000000000 -",
		"0 " + stamp + " 0.000000000 - x",
		"-1 " + stamp + " 0.000000000 - x",
		"12345678901234567890 " + stamp + " 0.000000000 - x",
		"1 2026-02-30T08:29:15.000000000Z 0.000000000 - x",
		"1 2026-11-25T24:29:15.000000000Z 0.000000000 - x",
		"1 2026-11-25T08:60:15.000000000Z 0.000000000 - x",
		"1 2026-11-25T08:29:15.00000000xZ 0.000000000 - x",
		"1 2026-11-25T08:29:15Z 0.000000000 - x",
		"1 " + stamp + " 0.0 - x",
		"1 " + stamp + " 9223372037.000000000 - x",
		"1 " + stamp + " 0.000000000 late x",
		"1 " + stamp + " 0.000000000 burst+ x",
		"1 " + stamp + ` 0.000000000 - x\`,
		"1 " + stamp + ` 0.000000000 - \x0`,
		"1 " + stamp + ` 0.000000000 - \x0G`,
		"1 " + stamp + ` 0.000000000 - \q`,
	} {
		line := []byte("00000000 " + body)
		seal(line)
		var p parser
		var rec Record
		assert.False(t, p.parse(line, &rec), "%q", body)
	}
}

func TestHeadersComeBack(t *testing.T) {
	for _, name := range []string{"bench", "left bench", "ж=1 \n", "a\\b"} {
		h := header{version: formatVersion, first: 41, bootID: "6f1c-2", channel: name}
		line := appendHeader(nil, h)
		got, ok := parseHeader(line[:len(line)-1])
		require.True(t, ok, "%q", line)
		assert.Equal(t, h, got)
	}
	line := appendHeader(nil, header{version: formatVersion, first: 41, bootID: "6f1c-2", channel: "left bench"})
	assert.Equal(t, "amphora-journal 1 first=41 boot=6f1c-2 channel=left bench\n", string(line[sealLen:]))
}

func TestChannelFolders(t *testing.T) {
	for name, folder := range map[string]string{
		"bench": "bench", "Left.2_a-b": "Left.2_a-b", ".": "%2e", "..": "%2e.", ".hidden": "%2ehidden",
		"a/b": "a%2fb", `c:\x`: "c%3a%5cx", "50%": "50%25", "Küche": "K%c3%bcche", "a b\x00": "a%20b%00",
	} {
		assert.Equal(t, folder, FolderName(name))
		back, ok := channelOf(folder)
		assert.True(t, ok)
		assert.Equal(t, name, back)
	}
	for _, folder := range []string{"", "%", "%2", "%zz", "%41", "a b", ".x"} {
		_, ok := channelOf(folder)
		assert.False(t, ok, "%q", folder)
	}
}

func TestSegmentNames(t *testing.T) {
	seg, ok := parseSegmentName("2026-11-25-000000000041.log")
	require.True(t, ok)
	assert.Equal(t, Segment{Day: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), First: 41}, seg)
	assert.Equal(t, "2026-11-25-000000000041", segmentName(dayOf(seg.Day), seg.First))
	seg, ok = parseSegmentName("1969-12-31-1234567890123456789.log.zst")
	require.True(t, ok)
	assert.True(t, seg.Packed)
	assert.Equal(t, -1, dayOf(seg.Day))
	for _, name := range []string{
		"", ".log", "2026-11-25.log", "2026-11-25-.log", "2026-11-25-x.log", "2026-13-25-1.log", "2026-11-25-0.log",
		"2026-11-25-000000000041.log.new", "2026-11-25-000000000041.log.torn-7", "2026-11-25-000000000041.txt",
	} {
		_, ok := parseSegmentName(name)
		assert.False(t, ok, name)
	}
}
