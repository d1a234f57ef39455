package decoders

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

const plainSetting = "columns separator=comma width=4 time=1:s voltage=2:mV current=3:A:negate temperature=4:C"

// said is what a stream said of a line.
type said struct {
	sample analyze.Sample
	err    error
}

// lineAfter is where the line after the end of line at end begins, -1 where that
// is not known.
func lineAfter(text []byte, end int) int {
	for _, eol := range []string{"\r\n", "\n"} {
		if bytes.HasPrefix(text[end:], []byte(eol)) {
			return end + len(eol)
		}
	}
	if end+1 < len(text) {
		return end + 1
	}
	return -1
}

// byLine is what Line says of a text.
func byLine(s *Stream, text []byte) (all []said) {
	for len(text) > 0 {
		end := bytes.IndexAny(text, "\r\n")
		line := text
		if end >= 0 {
			line = text[:end]
		}
		sample, err := s.Line(line, math.NaN(), 0)
		all = append(all, said{sample, err})
		next := lineAfter(text, len(line))
		if next < 0 {
			return all
		}
		text = text[next:]
	}
	return all
}

// byBlock is what Block says of it, and Line of what Block leaves.
func byBlock(s *Stream, text []byte, room int) (all []said) {
	for len(text) > 0 {
		samples, rest := s.Block(text, make([]analyze.Sample, 0, room))
		for _, sample := range samples {
			all = append(all, said{sample, nil})
		}
		if len(samples) == room {
			text = rest
			continue
		}
		line := rest
		if end := bytes.IndexAny(rest, "\r\n"); end >= 0 && lineAfter(rest, end) >= 0 {
			line = rest[:lineAfter(rest, end)]
		}
		if len(line) > 0 {
			all = append(all, byLine(s, line)...)
		}
		text = rest[len(line):]
	}
	return all
}

func requireSame(t *testing.T, setting string, text []byte, room int) {
	lines, blocks := streamOf(t, setting), streamOf(t, setting)
	want, got := byLine(lines, text), byBlock(blocks, text, room)
	for k := range min(len(want), len(got)) {
		if want[k].err != got[k].err || !identical(want[k].sample, got[k].sample) {
			t.Fatalf("line %d: by itself %v, in a block %v, of %q", k+1, want[k], got[k], text)
		}
	}
	require.Equal(t, len(want), len(got))
	require.Equal(t, lines.line, blocks.line)
	require.Equal(t, lines.rows, blocks.rows)
}

// identical compares to the last bit and the sign of zero; all that is unknown is
// alike.
func identical(a, b analyze.Sample) bool {
	x := [...]float64{a.At, a.Volts, a.Amps, a.Celsius, a.Counter, a.Skew}
	y := [...]float64{b.At, b.Volts, b.Amps, b.Celsius, b.Counter, b.Skew}
	for k := range x {
		if math.Float64bits(x[k]) != math.Float64bits(y[k]) && (x[k] == x[k] || y[k] == y[k]) {
			return false
		}
	}
	return a.Wall == b.Wall && a.Line == b.Line
}

// hurtful are what a byte may be turned into.
var hurtful = []string{"", ",", ".", "-", "+", ":", "x", "\"", " ", "\r", "9999999999", "\n#", "e5", "\xff", "0", "5", "6", "9", "mA", "T"}

// hurtText is lines of an envelope, in runs that follow each other, of which a share
// is hurt in one byte or more.
func hurtText(random *rand.Rand, lines [][]byte, end string, share float64) []byte {
	var b bytes.Buffer
	for range 4 {
		from := random.IntN(len(lines) - 30)
		for _, line := range lines[from : from+20] {
			line = bytes.Clone(line)
			for random.Float64() < share {
				at := random.IntN(len(line) + 1)
				rest := line[min(at+random.IntN(2), len(line)):]
				line = append([]byte(string(line[:at])+hurtful[random.IntN(len(hurtful))]), rest...)
			}
			b.Write(line)
			b.WriteString(end)
		}
	}
	b.Write(make([]byte, reach)) // a stencil wants to look that far
	return b.Bytes()
}

// rarer are more ways to write the night, for what a stencil can get wrong.
var rarer = []struct {
	setting string
	line    func(r row) string
}{
	{"columns separator=comma width=4 time=1:min voltage=2:mV current=3:mA:negate temperature=4:F",
		func(r row) string {
			return fmt.Sprintf(`"%.4f","%.1f","%.2f","%.1f"`, r.t/60, r.v*1000, -r.i*1000, r.celsius*1.8+32)
		}},
	{"columns separator=blanks time=1:s voltage=2:V current=3:A temperature=4:K",
		func(r row) string {
			return fmt.Sprintf("  %8.1f %7.3f  %+.3f  %.2f", r.t, r.v, r.i, r.celsius+273.15)
		}},
	{"columns separator=blanks stops=10.20.30 time=1:s voltage=2:V current=3:A",
		func(r row) string { return fmt.Sprintf("%10.1f%10.3f%10.3f", r.t, r.v, r.i) }},
	{"columns separator=comma stamp=1:d-m-y voltage=2:V current=3:A counter=4:mAh",
		func(r row) string {
			return r.at().Format("02.01.2006 15:04:05.000 +02:00") + fmt.Sprintf(",%.3f,%.3f,%.0f", r.v, r.i, r.ah*1000)
		}},
	{"columns separator=comma date=1 clock=2 voltage=3:V power=4:W",
		func(r row) string {
			return r.at().Format("2006/01/02,3:04:05 PM") + fmt.Sprintf(",%.3f,%.3f", r.v, r.v*r.i)
		}},
	{"columns separator=comma date=1 clock=2 voltage=3:V current=4:A",
		func(r row) string { return r.at().Format("02-Jan-06,15:04") + fmt.Sprintf(",%.3f,%.3f", r.v, r.i) }},
	{"columns separator=comma clock=1 voltage=2:V current=3:A",
		func(r row) string { return r.at().Format("15:04:05,00") + fmt.Sprintf(",%.3f,%.3f", r.v, r.i) }},
	{"columns separator=comma stamp=1:unix-ms voltage=2:V current=3:A",
		func(r row) string { return fmt.Sprintf("%d,%.3f,%.3f", r.at().UnixMilli(), r.v, r.i) }},
	{"columns separator=comma stamp=1:days-1900 voltage=2:V current=3:A",
		func(r row) string { return fmt.Sprintf("%.6f,%.3f,%.3f", 46000+r.t/86400, r.v, r.i) }},
	{"columns separator=comma interval=10s voltage=1:V current=2:A", func(r row) string { return fmt.Sprintf("%.3f,%.3f", r.v, r.i) }},
	{"columns separator=comma voltage=1:V current=2:A", func(r row) string { return fmt.Sprintf("%.3f,%.3f", r.v, r.i) }},
	{"columns separator=comma time=1:s voltage=2:V current=3:A temperature=4:C",
		func(r row) string { return fmt.Sprintf("%.0f,%.3f,%.3f,", r.t, r.v, r.i) }},
	{"labelled time=#1:s voltage=#V:V current=#A:A", func(r row) string { return fmt.Sprintf("%.0f  %.2fV %.2fA", r.t, r.v, r.i) }},
	{"labelled clock=#1 voltage=#V:V current=#A:A", func(r row) string { return r.at().Format("[15:04:05]") + fmt.Sprintf(" %.2f V %.2f A", r.v, r.i) }},
	{"labelled time=#1:s voltage=#2:V current=#3:A", func(r row) string { return fmt.Sprintf("%.0f, %.2f, %.2f", r.t, r.v, r.i) }},
	{"json stamp=ts voltage=v:V current=i:A",
		func(r row) string {
			return fmt.Sprintf(`{"n":%d,"ts":"%s","v":"%.3f V","i":%.3f,"ok":true}`, int(r.t), r.at().Format("2006-01-02T15:04:05.000Z"), r.v, r.i)
		}},
	{"json time=t:s voltage=0.v:V current=1:A", func(r row) string { return fmt.Sprintf(`[{"v":%.3f},%.3f,null]`, r.v, r.i) }},
	{`pattern (?P<stamp>\S+ \S+) meter\w*: (?P<voltage>[\d.]+) V, (?P<current_mA>-?\d+)`,
		func(r row) string {
			return r.at().Format("2006-01-02 15:04:05") + fmt.Sprintf(" meter%d: %.2f V, %.0f mA", int(r.t)%10, r.v, r.i*1000)
		}},
	{`pattern ^1(?P<time>\d+) (?P<voltage>[0-4]\d\.\d+) (?P<current>-?[\d.]+)`,
		func(r row) string { return fmt.Sprintf("1%.0f %.3f %.3f", r.t, r.v, r.i) }},
}

func TestBlockSaysWhatLineSays(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	try := func(setting string, format func(r row) string) {
		lines := nightLines(format)
		for range 50 {
			text := hurtText(random, lines, [...]string{"\n", "\r\n", "\r"}[random.IntN(3)], []float64{0, 0.02, 0.3}[random.IntN(3)])
			requireSame(t, setting, text, 1+random.IntN(40))
		}
	}
	for _, e := range envelopes {
		try(e.setting, e.line)
	}
	for _, e := range rarer {
		try(e.setting, e.line)
	}
}

// Which lines get a stencil at all is worth holding: all but those whose digits
// could make a time or none, or matter to the expression.
func TestMostLinesGetAStencil(t *testing.T) {
	without := map[int]bool{4: true, 13: true, 14: true, 18: true}
	for k, e := range rarer {
		lines := nightLines(e.line)[1000:1002]
		s := streamOf(t, e.setting)
		text := append(append(bytes.Join(lines, []byte("\n")), '\n'), make([]byte, reach)...)
		s.Block(text, make([]analyze.Sample, 0, 2))
		if s.stencils == nil || s.stencils.last.size == 0 {
			assert.True(t, without[k], "%q has none", lines[0])
			continue
		}
		assert.False(t, without[k], "%q has one", lines[0])
	}
}

// Every byte of a line that a stencil fits is turned into many others.
func TestStencilSeesEveryByte(t *testing.T) {
	for _, e := range envelopes {
		lines := nightLines(e.line)
		row := string(lines[1000]) + "\n"
		text := append([]byte(strings.Repeat(row, 3)), make([]byte, reach)...)
		fits := streamOf(t, e.setting)
		fits.Block(text, make([]analyze.Sample, 0, 3))
		require.Equal(t, 2, fits.stencils.last.used+fits.stencils.before.used, e.name)
		for at := range len(row) {
			was := row[at]
			for _, c := range append([]byte("0123456789/:.,;- +eEmT\x00\x80\xfa\xff\r\n"), was^1, was^2, was^4, was^8, was^16, was^32, was^64, was^128) {
				hurt := bytes.Clone(text)
				hurt[len(row)+at] = c
				requireSame(t, e.setting, hurt, 9)
			}
		}
	}
}

func FuzzBlock(f *testing.F) {
	random := rand.New(rand.NewPCG(7, 8))
	for k, e := range envelopes {
		f.Add(k, hurtText(random, nightLines(e.line), [...]string{"\n", "\r\n", "\r"}[k%3], float64(k)/24))
	}
	f.Fuzz(func(t *testing.T, envelope int, text []byte) {
		anyBlock(t, envelopes[uint(envelope)%uint(len(envelopes))].setting, text)
	})
}

// anyBlock: a text is the same rows as a block, a few at a time, and line by line.
func anyBlock(t *testing.T, setting string, text []byte) {
	requireSame(t, setting, append(text, make([]byte, reach)...), 5)
}

// An hour that is in no half of a day has AM behind it for nothing, and what is cut
// from such a line must not take the AM of a line behind it for nothing too.
func TestAStencilKnowsHalvesOfDays(t *testing.T) {
	const setting, rest = "columns separator=comma date=1 clock=2 voltage=3:V current=4:A", ",14.05,3.5\r\n"
	for _, half := range []string{" AM", " PM", "am", "pm"} {
		text := "2026/01/15,32:26:40" + half + rest + "2026/01/15,12:26:50" + half + rest + "2026/01/15,01:26:50" + half + rest
		anyBlock(t, setting, []byte(text))
	}
}

func TestBlockLeavesWhatItCannotTake(t *testing.T) {
	const row = "1,12650,3.5,20\n"
	for _, c := range []struct {
		setting, text, left string
	}{
		{plainSetting, row + row, ""},
		{plainSetting, row + "1,12650,3.5,20", "1,12650,3.5,20"},
		{plainSetting, row + "1,12650,3.5,20\r", "1,12650,3.5,20\r"},
		{plainSetting, row + "1,12650,,20\n" + row, "1,12650,,20\n" + row},
		{plainSetting, row + "1,12650000,3,20\n", "1,12650000,3,20\n"},
		{plainSetting + " pair=yes", row, row},
		{plainSetting + " checksum=xor", row, row},
		{"columns separator=comma width=2 voltage=1:V current=2:A", "12,1\n", ""},
	} {
		_, left := streamOf(t, c.setting).Block([]byte(c.text), make([]analyze.Sample, 0, 9))
		assert.Equal(t, c.left, string(left), c.text)
	}
}

func TestNothingIsAllocatedForALine(t *testing.T) {
	for _, e := range envelopes {
		if strings.HasPrefix(e.setting, patternEntry.Name) {
			continue // the package regexp allocates
		}
		lines := nightLines(e.line)[1000:1100]
		text := append(bytes.Join(lines, []byte("\n")), '\n')
		s := streamOf(t, e.setting)
		out := make([]analyze.Sample, 0, len(lines))
		assert.Zero(t, testing.AllocsPerRun(20, func() { s.Block(text, out) }), e.name+", as a block")
		assert.Zero(t, testing.AllocsPerRun(20, func() {
			for _, line := range lines {
				s.Line(line, math.NaN(), 0)
			}
		}), e.name)
	}
}

// A stencil is cut from a row that is sound, and fits rows that are not: those are left to
// Line, which refuses them.
func TestARowBeyondBeliefIsNotReadThroughAStencil(t *testing.T) {
	l, err := Parse("columns separator=comma time=1:s voltage=2:V current=3:A")
	require.NoError(t, err)
	s, err := NewStream(l)
	require.NoError(t, err)
	text := "10,1500,2\n20,1501,2\n30,2500,2\n40,1500,2\n" + strings.Repeat("#", reach)
	samples, rest := s.Block([]byte(text), make([]analyze.Sample, 0, 10))
	require.Len(t, samples, 2)
	assert.Equal(t, 1501.0, samples[1].Volts)
	_, err = s.Line(rest[:len("30,2500,2")], math.NaN(), 0)
	assert.Equal(t, ErrRange, err)
}
