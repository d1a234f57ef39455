package decoders

import (
	"bytes"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// checkNumber compares with the standard library, to the last bit.
func checkNumber(t *testing.T, text string) {
	got, n := number([]byte(text), '.')
	if n == 0 {
		_, err := strconv.ParseFloat(text, 64)
		plain := err == nil && strings.Trim(text, "0123456789+-.eE") == ""
		require.False(t, plain, "%q is a number", text)
		return
	}
	want, err := strconv.ParseFloat(strings.NewReplacer("d", "e", "D", "e").Replace(text[:n]), 64)
	if err != nil {
		require.ErrorIs(t, err, strconv.ErrRange, "%q", text[:n])
	}
	require.Equal(t, math.Float64bits(want), math.Float64bits(got), "%q", text[:n])
}

func FuzzNumber(f *testing.F) {
	for _, s := range []string{
		"0", "-0", "-0.000", "12.65", "+1.26500000E+01", "9.9E37", "1e400", "-1e-400", ".5", "5.", ".", "-", "1e", "1e+", "1.2.3",
		"9007199254740993", "123456789012345678901234567890", "0.000000000000000000000000000001", "1e22", "1e23", "12,5", "4.35", "0.1e-5", "1e99999999999", "1.21D+01", "1.5d-03", "123456789012345678D+00", "1d20", "1D+2",
		"2.2250738585072011e-308",
	} {
		f.Add(s)
	}
	f.Fuzz(checkNumber)
}

// shapeOf is a random way to write a number; '0' stands for any digit.
func shapeOf(random *rand.Rand) string {
	whole, places := random.IntN(8), random.IntN(7)
	if random.IntN(8) == 0 {
		whole, places = random.IntN(20), random.IntN(20)
	}
	text := [...]string{"", "", "", "-", "+"}[random.IntN(5)] + strings.Repeat("0", whole)
	if places > 0 || random.IntN(4) == 0 {
		text += "." + strings.Repeat("0", places)
	}
	if whole+places == 0 {
		text = "0"
	}
	if random.IntN(8) == 0 {
		text += [...]string{"e", "E", "e-", "E+"}[random.IntN(4)] + strings.Repeat("0", 1+random.IntN(2))
	}
	return text
}

// written puts digits into a shape; some numbers have only nines, or only noughts.
func written(random *rand.Rand, shape string) []byte {
	text, digits := []byte(shape), random.IntN(16)
	for k, c := range text {
		switch {
		case c != '0' || digits == 0:
		case digits == 1:
			text[k] = '9'
		default:
			text[k] += byte(random.IntN(10))
		}
	}
	return text
}

// All ways to read a number give what ParseFloat gives, to the last bit: number by
// itself, the quick way through a row, and a stencil, on ten million texts with
// AMPHORA_LONG=1.
func TestNumbersAreParseFloatToTheLastBit(t *testing.T) {
	tries := 120_000
	if os.Getenv("AMPHORA_LONG") != "" {
		tries = 10_000_000
	}
	const rows = 4
	l, err := Parse("columns separator=comma width=3 time=1:s voltage=2:V current=3:A")
	require.NoError(t, err)
	d, err := newColumns(l)
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(1, 2))
	seen, quick, stencil := 0, 0, 0
	for seen < tries {
		shapes := [3]string{shapeOf(random), shapeOf(random), shapeOf(random)}
		var text []byte
		var want [rows]Reading
		for row := range want {
			want[row] = blank
			for k, q := range []Quantity{Time, Volts, Amps} {
				number := written(random, shapes[k])
				checkNumber(t, string(number))
				want[row][q], _ = strconv.ParseFloat(string(number), 64)
				text = append(append(text, number...), ",,\n"[k])
				seen++
			}
		}
		text = append(text, make([]byte, reach)...)
		s := newStencils(l, d, func(*Reading) bool { return false })
		for row, i := 0, 0; row < rows && i >= 0; row++ {
			got := blank
			next := s.last.read(text, i, &got)
			if next >= 0 {
				stencil++
			} else {
				next, _ = s.other(text, i, &got)
			}
			if next >= 0 && !same(&want[row], &got) {
				t.Fatalf("of %q came %v, not %v", text[i:next], got, want[row])
			}
			if end := bytes.IndexByte(text[i:], '\n'); d.(*columns).quick(text[i:i+end], &got) {
				quick++
				if !same(&want[row], &got) {
					t.Fatalf("of %q came quickly %v, not %v", text[i:i+end], got, want[row])
				}
			}
			i = next
		}
	}
	t.Logf("%d texts; %d rows of three read quickly, %d through a stencil", seen, quick, stencil)
	require.Greater(t, quick, seen/12)
	require.Greater(t, stencil, seen/12)
}

// What the fast way accepts, the careful way reads alike.
func FuzzQuickRows(f *testing.F) {
	for _, s := range []string{"0.000,3.32521,-0.00400,26.82", "12345678,1.2345678,.5,5.", "1,2,3,\xca", "1.\xcf,2,3,4", "--1,2,3,4", "1,2,3,4,", "1..2,3,4,5"} {
		f.Add([]byte(s))
	}
	l, err := Parse("columns separator=comma width=4 time=1:s voltage=2:mV current=3:A:negate temperature=4:C")
	require.NoError(f, err)
	decoder, err := newColumns(l)
	require.NoError(f, err)
	d := decoder.(*columns)
	f.Fuzz(func(t *testing.T, line []byte) {
		quick, careful := blank, blank
		if !d.quick(line, &quick) {
			return
		}
		require.NoError(t, d.careful(line, &careful), "%q", line)
		for q := range quick {
			require.Equal(t, math.Float64bits(careful[q]), math.Float64bits(quick[q]), "%q", line)
		}
	})
}

func TestWordsInPlaceOfNumbers(t *testing.T) {
	for _, s := range []string{"", "-", "---", "nan", "NaN", "null", "N/A", "--.--"} {
		assert.NoError(t, word([]byte(s)), s)
	}
	for _, s := range []string{"OL", "0L", "-OL", "O.L", "inf", "-INF", "Overload", "OVER"} {
		assert.Equal(t, ErrOverload, word([]byte(s)), s)
	}
	for _, s := range []string{"volt", "ready", "1x"} {
		assert.Equal(t, ErrNumber, word([]byte(s)), s)
	}
}
