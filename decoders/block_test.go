package decoders

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
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
	require.Equal(t, len(want), len(got))
	for k := range want {
		require.Equal(t, want[k].err, got[k].err, "line %d", k+1)
		require.Equal(t, bitsOf(want[k].sample), bitsOf(got[k].sample), "line %d", k+1)
	}
	require.Equal(t, lines.Lines(), blocks.Lines())
	require.Equal(t, lines.Rows(), blocks.Rows())
}

// bitsOf makes NaN comparable, and tells zero from minus zero.
func bitsOf(s analyze.Sample) string {
	bits := ""
	for _, x := range []float64{s.At, s.Volts, s.Amps, s.Celsius, s.Counter, s.Skew} {
		if x != x {
			bits += "? "
			continue
		}
		bits += strconv.FormatUint(math.Float64bits(x), 16) + " "
	}
	return bits + fmt.Sprint(s.Wall, s.Line)
}

// plainText is rows of numbers, mostly of one shape, of which a share is hurt.
func plainText(random *rand.Rand, rows int, end string, hurt float64) []byte {
	var b bytes.Buffer
	places := [4]int{random.IntN(7), random.IntN(5), random.IntN(6), random.IntN(4)}
	for k := range rows {
		x := [4]float64{float64(k) * 1.001 * math.Pow(10, float64(random.IntN(2)*random.IntN(6))), 12000 + 3000*random.Float64(), random.NormFloat64(), 20 + random.Float64()}
		row := ""
		for c := range x {
			row += strconv.FormatFloat(x[c], 'f', places[c], 64) + ","
		}
		row = row[:len(row)-1]
		if random.Float64() < hurt {
			at := random.IntN(len(row))
			row = row[:at] + [...]string{"", ",", ".", "-", "x", "\"", " ", "\r", "9999999999", "\n#", "e5", "\xff"}[random.IntN(12)] + row[at+random.IntN(2):]
		}
		b.WriteString(row + end)
	}
	return b.Bytes()
}

func TestBlockSaysWhatLineSays(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for range 300 {
		end := [...]string{"\n", "\r\n", "\r"}[random.IntN(3)]
		text := plainText(random, 100, end, []float64{0, 0.01, 0.2}[random.IntN(3)])
		requireSame(t, plainSetting, text, 1+random.IntN(40))
	}
}

func FuzzBlock(f *testing.F) {
	random := rand.New(rand.NewPCG(7, 8))
	for k := range 12 {
		f.Add(plainText(random, 12, [...]string{"\n", "\r\n", "\r"}[k%3], float64(k)/24))
	}
	f.Fuzz(func(t *testing.T, text []byte) { requireSame(t, plainSetting, text, 5) })
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
	random := rand.New(rand.NewPCG(9, 10))
	text := plainText(random, 2000, "\n", 0)
	s := streamOf(t, plainSetting)
	out := make([]analyze.Sample, 0, 2000)
	assert.Zero(t, testing.AllocsPerRun(10, func() { s.Block(text, out[:0]) }), "block")
	for name, c := range specimens {
		if name == patternEntry.Name {
			continue
		}
		s := streamOf(t, c.setting)
		lines := bytesOf(c.lines)
		assert.Zero(t, testing.AllocsPerRun(100, func() {
			for _, line := range lines {
				s.Line(line, math.NaN(), 0)
			}
		}), name)
	}
}
