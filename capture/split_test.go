package capture

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"amphora/analyze/madeup/mangle"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// piece is what a splitter emitted, copied.
type piece struct {
	text  string
	flags Flags
}

// split feeds the blocks, then flushes.
func split(s *Splitter, blocks ...string) []piece {
	var got []piece
	emit := func(line []byte, flags Flags) { got = append(got, piece{string(line), flags}) }
	for _, b := range blocks {
		s.Feed([]byte(b), emit)
	}
	s.Flush(emit)
	return got
}

func whole(lines ...string) []piece {
	var p []piece
	for _, l := range lines {
		p = append(p, piece{l, 0})
	}
	return p
}

func TestSplitLineEnds(t *testing.T) {
	for _, c := range []struct {
		name   string
		blocks []string
		want   []piece
	}{
		{"LF", []string{"a\nb\n"}, whole("a", "b")},
		{"CR LF", []string{"a\r\nb\r\n"}, whole("a", "b")},
		{"CR alone", []string{"a\rb\r"}, whole("a", "b")},
		{"all three mixed", []string{"a\rb\nc\r\nd\r"}, whole("a", "b", "c", "d")},
		{"CR last in a block, LF first in the next", []string{"a\r", "\nb\r", "\n"}, whole("a", "b")},
		{"an empty block between CR and LF", []string{"a\r", "", "\nb\n"}, whole("a", "b")},
		{"CR last in a block, no LF follows", []string{"a\r", "b\r"}, whole("a", "b")},
		{"empty lines stay", []string{"a\n\nb\r\rc\r\n\r\nd\n"}, whole("a", "", "b", "", "c", "", "d")},
		{"LF CR is two ends", []string{"a\n\rb\n"}, whole("a", "", "b")},
		{"line over three blocks", []string{"1", "3.", "8\n"}, whole("13.8")},
		{"NUL, escape, high and foreign bytes", []string{"\x00\x1b\x7f\xff\xef\xbb\xbf\n"}, whole("\x00\x1b\x7f\xff\xef\xbb\xbf")},
		{"no end at all", []string{"13.", "8"}, []piece{{"13.8", Fragment}}},
		{"nothing", nil, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, split(new(Splitter), c.blocks...))
		})
	}
}

func TestSplitDoesNotWaitAfterCR(t *testing.T) {
	var s Splitter
	var got []string
	s.Feed([]byte("13.8\r"), func(line []byte, _ Flags) { got = append(got, string(line)) })
	assert.Equal(t, []string{"13.8"}, got)
	s.Flush(func([]byte, Flags) { t.Error("nothing is left to flush") })
}

func TestSplitMarksTheFirstHalfLine(t *testing.T) {
	var s Splitter
	s.join()
	assert.Equal(t, []piece{{".8", Fragment}, {"13.9", 0}}, split(&s, ".8\n13.9\n"))
	s.join()
	assert.Equal(t, []piece{{"", Fragment}, {"13.9", 0}}, split(&s, "\n13.9\n"), "joined between CR and LF")
}

func TestSplitRestAfterFlushIsAFragmentToo(t *testing.T) {
	var s Splitter
	assert.Equal(t, []piece{{"113", Fragment}}, split(&s, "113"))
	assert.Equal(t, []piece{{".8", Fragment}, {"14.0", 0}}, split(&s, ".8\n14.0\n"), ".8 alone would be a wrong reading")
}

func TestSplitCutsLongLines(t *testing.T) {
	full := strings.Repeat("x", 4<<10)
	for _, c := range []struct {
		name string
		in   string
		want []piece
	}{
		{"exactly the limit", full + "\n", whole(full)},
		{"one more", full + "y\nz\n", []piece{{full, Overlong}, {"y", Overlong | Fragment}, {"z", 0}}},
		{"twice the limit", full + full + "\r\nz\n", []piece{{full, Overlong}, {full, Overlong | Fragment}, {"z", 0}}},
		{"without end", full + "y", []piece{{full, Overlong}, {"y", Overlong | Fragment}}},
		{"two of them", full + "y\n" + full + "y\n", []piece{{full, Overlong}, {"y", Overlong | Fragment}, {full, Overlong}, {"y", Overlong | Fragment}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var one, many Splitter
			assert.Equal(t, c.want, split(&one, c.in))
			assert.Equal(t, c.want, split(&many, strings.Split(c.in, "")...), "byte by byte")
		})
	}
}

func TestSplitEndlessLineKeepsMemoryFlat(t *testing.T) {
	var s Splitter
	block, total := bytes.Repeat([]byte{'x'}, 64<<10), 0
	count := func(line []byte, _ Flags) { total += len(line) }
	for range 1600 { // 100 MB
		s.Feed(block, count)
	}
	s.Flush(count)
	assert.Equal(t, 1600*len(block), total, "every byte is handed on")
	assert.LessOrEqual(t, cap(s.held), 2*maxLine)
}

// night is a made-up log with every kind of line end and some odd lines.
func night(rng *rand.Rand, lines int) string {
	var b strings.Builder
	ends := []string{"\n", "\r\n", "\r", "\n", "\r\n"}
	for i := range lines {
		switch rng.IntN(40) {
		case 0:
			b.WriteString(strings.Repeat("\x00\xff~", rng.IntN(3000)))
		case 1: // an empty line
		default:
			fmt.Fprintf(&b, "%d,%.3f,%.3f", i, 12+2*rng.Float64(), 3*rng.Float64())
		}
		b.WriteString(ends[rng.IntN(len(ends))])
	}
	return b.String()
}

func TestSplitChunkingChangesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	log := night(rng, 120)
	want := split(new(Splitter), log)
	require.Greater(t, len(want), 119)
	for range 1000 {
		var s Splitter
		var blocks []string
		most := 1 << rng.IntN(14)
		for rest := log; rest != ""; {
			n := min(len(rest), 1+rng.IntN(most))
			blocks, rest = append(blocks, rest[:n]), rest[n:]
		}
		if got := split(&s, blocks...); !slices.Equal(want, got) {
			require.Equal(t, want, got) // slow, but shows the difference
		}
	}
}

func TestSplitAllocatesNothing(t *testing.T) {
	block := []byte(strings.Repeat("13.741,3.359,18.0\r\n", 1000) + "13.7")
	var s Splitter
	lines := 0
	emit := func([]byte, Flags) { lines++ }
	s.Feed(block, emit) // the held part gets its room once
	assert.Zero(t, testing.AllocsPerRun(10, func() { s.Feed(block, emit) }))
	assert.Positive(t, lines)
}

// FuzzSplit: however the stream is cut the lines are the same, and only line
// ends go missing.
func FuzzSplit(f *testing.F) {
	f.Add("a\r\nb\rc\nd", uint16(3))
	f.Add("\r\r\n\n", uint16(1))
	f.Add(strings.Repeat("x", maxLine+1), uint16(maxLine))
	f.Fuzz(func(t *testing.T, log string, at uint16) { anyStream(t, log, int(at)) })
}

// anyStream is cut in two at a place, or at its end where that lies beyond.
func anyStream(t *testing.T, log string, at int) {
	cut := min(at, len(log))
	got := split(new(Splitter), log[:cut], log[cut:])
	if once := split(new(Splitter), log); !slices.Equal(once, got) {
		t.Fatalf("cut at %d gives %q, else %q", cut, got, once)
	}
	var bytes strings.Builder
	for _, p := range got {
		if len(p.text) > maxLine {
			t.Fatalf("a line of %d bytes", len(p.text))
		}
		bytes.WriteString(p.text)
	}
	if plain := strings.NewReplacer("\r", "", "\n", "").Replace(log); plain != bytes.String() {
		t.Fatalf("got %q of %q", bytes.String(), log)
	}
}

// Damaged streams in numbers that a fuzzer does not reach. A long line in front, now
// and then, brings what follows to the limit.
func TestMangledStreams(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 10))
	m := mangle.New(1, []byte("12.65,3.359\r\n12.66,3.358\r\n"), []byte("a\rb\n\nc\r\n\r\n"), []byte("\r\r\n\n"))
	for n := range mangle.Rounds(t, os.Getenv(mangle.Wanted), 20_000) {
		log := string(m.Next())
		if n%16 == 0 {
			log = strings.Repeat("x", maxLine-random.IntN(40)) + log
		}
		anyStream(t, log, random.IntN(len(log)+1))
	}
}

func BenchmarkSplit(b *testing.B) {
	for _, c := range []struct{ name, line string }{
		{"short LF", "13.74,3.35\n"},
		{"usual LF", "2026-03-14T21:40:00Z,13.741,3.359,18.0\n"},
		{"usual CRLF", "2026-03-14T21:40:00Z,13.741,3.359,18.0\r\n"},
		{"usual CR", "2026-03-14T21:40:00Z,13.741,3.359,18.0\r"},
	} {
		block := []byte(strings.Repeat(c.line, 256<<10/len(c.line)))
		b.Run(c.name, func(b *testing.B) {
			var s Splitter
			lines := 0
			emit := func([]byte, Flags) { lines++ }
			b.SetBytes(int64(len(block)))
			b.ReportAllocs()
			for b.Loop() {
				s.Feed(block, emit)
			}
		})
	}
}

// BenchmarkWorst shows what the worst 4 KiB cost: no 10 ms and no MiB.
func BenchmarkWorst(b *testing.B) {
	full := mangle.Full([]byte("12.65,3.359\r\n"), []byte("a\rb\n\nc\r\n\r\n"), []byte("\r"))
	testhelp.Worst(b, mangle.New(1, full...).Next, func(text []byte) {
		var s Splitter
		s.Feed(text, func([]byte, Flags) {})
		s.Flush(func([]byte, Flags) {})
	})
}
