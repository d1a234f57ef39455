package decoders

import (
	"bytes"
	"math"
	"strconv"
)

// pow10 holds the powers of ten that a float64 holds exactly.
var pow10 = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// exactDigits is how many decimal digits always fit the 53 bits of a float64.
const exactDigits = 15

// number reads the decimal number that b begins with, mark being its decimal
// mark. It returns the length read, 0 where b begins with none. The value is
// the one strconv.ParseFloat gives, to the last bit: digits that fit 53 bits,
// scaled once by an exact power of ten, are rounded once; all else is handed
// to ParseFloat itself.
func number(b []byte, mark byte) (x float64, n int) {
	i := 0
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		i = 1
	}
	var m uint64
	digits, scale := 0, 0
	for ; i < len(b) && b[i]-'0' <= 9; i++ {
		m = m*10 + uint64(b[i]-'0')
		digits++
	}
	if i < len(b) && b[i] == mark {
		point := i
		for i++; i < len(b) && b[i]-'0' <= 9; i++ {
			m = m*10 + uint64(b[i]-'0')
		}
		scale = point + 1 - i
		digits -= scale
	}
	if digits == 0 {
		return 0, 0
	}
	if e, k := exponent(b[i:]); k > 0 {
		scale += e
		i += k
	}
	switch {
	case digits > exactDigits || scale < -22 || scale > 22:
		return exactly(b[:i], mark), i
	case scale < 0:
		x = float64(int64(m)) / pow10[-scale]
	default:
		x = float64(int64(m)) * pow10[scale]
	}
	if b[0] == '-' {
		x = -x
	}
	return x, i
}

// exponent reads E+01, or D+01 as Fortran writes it; it returns the length read, 0 where
// there is none.
func exponent(b []byte) (e, n int) {
	if len(b) < 2 || b[0]|0x20 != 'e' && !(b[0]|0x20 == 'd' && doubled(b[1:])) {
		return 0, 0
	}
	i := 1
	if b[i] == '-' || b[i] == '+' {
		i++
	}
	first := i
	for ; i < len(b) && b[i]-'0' <= 9; i++ {
		if e < 10000 { // far beyond any float64: more digits change nothing
			e = e*10 + int(b[i]-'0')
		}
	}
	if i == first {
		return 0, 0
	}
	if b[1] == '-' {
		e = -e
	}
	return e, i
}

// doubled tells the sign and the two digits or more that stand behind a D always: 1d 20 is
// a day and more.
func doubled(b []byte) bool {
	return len(b) > 2 && (b[0] == '+' || b[0] == '-') && b[1]-'0' <= 9 && b[2]-'0' <= 9
}

func exactly(b []byte, mark byte) float64 {
	text := make([]byte, 0, 64)
	text = append(text, b...)
	if at := bytes.IndexByte(text, mark); at >= 0 {
		text[at] = '.'
	}
	if at := bytes.IndexAny(text, "dD"); at >= 0 {
		text[at] = 'e'
	}
	x, _ := strconv.ParseFloat(string(text), 64) // out of range is infinite, as overload is
	return x
}

// overloadFrom is where numbers stop being readings. Meters that speak the
// standard commands for instruments send 9.9E37 for overload and 9.91E37 for
// "not a number" (SCPI 1999, volume 1, 7.2.1); others the largest float32.
const overloadFrom = 9e36

// word reads a cell that is no number: a word for "nothing", a word for
// overload, or neither.
func word(b []byte) error {
	switch {
	case len(b) == 0, len(bytes.Trim(b, "-._?* ")) == 0, foldIn(b, blankWords):
		return nil
	case foldIn(bytes.TrimLeft(b, "+-< >"), overloadWords):
		return ErrOverload
	}
	return ErrNumber
}

var (
	blankWords    = []string{"nan", "-nan", "null", "nil", "none", "na", "n/a", "#n/a", "-.-", "nodata", "no data"}
	overloadWords = []string{
		"ol", "o.l", "o.l.", ".ol", "0l", "0.l", "ovl", "ovld", "ovf", "ofl", "of", "over", "overload", "overflow", "overrange", "over range",
		"inf", "infinity", "1.#inf", "err", "error",
	}
)

func foldIn(b []byte, words []string) bool {
	for _, w := range words {
		if foldEqual(b, w) {
			return true
		}
	}
	return false
}

// foldEqual compares without regard to the case of ASCII letters.
func foldEqual(b []byte, s string) bool {
	if len(b) != len(s) {
		return false
	}
	for i := range b {
		if lower(b[i]) != lower(s[i]) {
			return false
		}
	}
	return true
}

func lower(c byte) byte {
	if 'A' <= c && c <= 'Z' {
		return c | 0x20
	}
	return c
}

// wordByte tells a byte that words are made of, names and units.
func wordByte(c byte) bool {
	return c-'0' <= 9 || lower(c)-'a' < 26 || c == '_' || c >= 0x80 || c == '%'
}

// firstWord is the word that b begins with, empty where it begins with none.
func firstWord(b []byte) []byte {
	n := 0
	for n < len(b) && wordByte(b[n]) {
		n++
	}
	return b[:n]
}

func overloaded(x float64) bool { return math.Abs(x) >= overloadFrom }

// notANumber tells the number that says there is nothing to say: it is as good as blank.
func notANumber(x float64) bool { return math.Abs(x-9.91e37) < 0.005e37 }

func digit(c byte) bool { return c-'0' <= 9 }

// letter tells a byte of a word that is no digit.
func letter(c byte) bool { return c-'0' > 9 && wordByte(c) }
