package decoders

import (
	"bytes"
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
	require.Equal(t, lines.Lines(), blocks.Lines())
	require.Equal(t, lines.Rows(), blocks.Rows())
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

func TestBlockSaysWhatLineSays(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for _, e := range envelopes {
		lines := nightLines(e.line)
		for range 150 {
			text := hurtText(random, lines, [...]string{"\n", "\r\n", "\r"}[random.IntN(3)], []float64{0, 0.02, 0.3}[random.IntN(3)])
			requireSame(t, e.setting, text, 1+random.IntN(40))
		}
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
		requireSame(t, envelopes[uint(envelope)%uint(len(envelopes))].setting, append(text, make([]byte, reach)...), 5)
	})
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
