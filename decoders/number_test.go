package decoders

import (
	"math"
	"math/rand/v2"
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
	want, err := strconv.ParseFloat(text[:n], 64)
	if err != nil {
		require.ErrorIs(t, err, strconv.ErrRange, "%q", text[:n])
	}
	require.Equal(t, math.Float64bits(want), math.Float64bits(got), "%q", text[:n])
}

func FuzzNumber(f *testing.F) {
	for _, s := range []string{
		"0", "-0", "-0.000", "12.65", "+1.26500000E+01", "9.9E37", "1e400", "-1e-400", ".5", "5.", ".", "-", "1e", "1e+", "1.2.3",
		"9007199254740993", "123456789012345678901234567890", "0.000000000000000000000000000001", "1e22", "1e23", "12,5", "4.35", "0.1e-5", "1e99999999999",
		"2.2250738585072011e-308",
	} {
		f.Add(s)
	}
	f.Fuzz(checkNumber)
}

func TestNumberIsParseFloatToTheLastBit(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 200000 {
		x := math.Float64frombits(random.Uint64())
		if known(x) {
			checkNumber(t, strconv.FormatFloat(x, 'g', 1+random.IntN(18), 64))
		}
		checkNumber(t, strconv.FormatFloat(random.NormFloat64()*math.Pow(10, float64(random.IntN(8))), 'f', random.IntN(9), 64))
	}
}

// The fast way through a row gives the numbers of ParseFloat too.
func TestQuickRowsAreParseFloatToTheLastBit(t *testing.T) {
	l, err := Parse("columns separator=comma width=3 time=1:s voltage=2:V current=3:A")
	require.NoError(t, err)
	d, err := newColumns(l)
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(3, 4))
	for range 100000 {
		var text [3]string
		for i := range text {
			text[i] = strconv.FormatFloat(random.NormFloat64()*math.Pow(10, float64(random.IntN(8)-1)), 'f', random.IntN(10), 64)
		}
		var r Reading
		require.NoError(t, d.Decode([]byte(strings.Join(text[:], ",")), &r))
		for i, q := range []Quantity{Time, Volts, Amps} {
			want, err := strconv.ParseFloat(text[i], 64)
			require.NoError(t, err)
			require.Equal(t, math.Float64bits(want), math.Float64bits(r[q]), "%q", text)
		}
	}
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
