package decoders

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// row is one reading of a made-up night.
type row struct {
	t, v, i, celsius, ah float64
}

// madeUpNight is a 12 V battery: 15 min at rest, charged at 3.5 A from 12.2 V
// to 14.4 V, held there until the current is 0.2 A, then an hour of rest.
// Rows stand every 10 s; a millivolt of noise that repeats.
func madeUpNight() []row {
	var rows []row
	ah, i, v := 0.0, 0.0, 12.20
	held := 0.0
	for k := 0; k < 2520; k++ {
		t := float64(k) * 10
		switch {
		case t < 900:
			i, v = 0, 12.20
		case held == 0:
			i = 3.5
			if v < 12.4 {
				v = 12.55
			}
			if v += 0.00165; v >= 14.4 {
				held = t
			}
		case t < held+9000:
			v, i = 14.4, 3.5*math.Exp(-(t-held)/3000)
		default:
			i, v = 0, 13.0+1.1*math.Exp(-(t-held-9000)/1200)
		}
		ah += i * 10 / 3600
		noise := 0.001 * math.Sin(float64(k)*1.7)
		rows = append(rows, row{t, v + noise, i, 18 + 6*math.Sin(t/15000), ah})
	}
	return rows
}

// start is a winter evening: the night runs over midnight.
var start = time.Date(2026, 1, 14, 21, 40, 0, 0, time.UTC)

func (r row) at() time.Time { return start.Add(time.Duration(r.t * float64(time.Second))) }

// comma writes numbers with a decimal comma.
func comma(format string, args ...any) string {
	return strings.ReplaceAll(fmt.Sprintf(format, args...), ".", ",")
}

// thousands writes whole numbers with a mark between groups of three digits.
func thousands(mark, format string, numbers ...float64) string {
	var texts []any
	for _, x := range numbers {
		text := fmt.Sprintf("%.0f", math.Abs(x))
		for k := len(text) - 3; k > 0; k -= 3 {
			text = text[:k] + mark + text[k:]
		}
		if x <= -0.5 {
			text = "-" + text
		}
		texts = append(texts, text)
	}
	return fmt.Sprintf(format, texts...)
}

// logOf writes the night in one layout.
func logOf(header string, line func(k int, r row) string) []string {
	var out []string
	if header != "" {
		out = strings.Split(header, "\n")
	}
	for k, r := range madeUpNight() {
		if l := line(k, r); l != "" {
			out = append(out, strings.Split(l, "\n")...)
		}
	}
	return out
}

func withXor(s string) string {
	return fmt.Sprintf("$%s*%02X", s, xor8([]byte(s)))
}

func bytesOf(lines []string) [][]byte {
	out := make([][]byte, len(lines))
	for i, l := range lines {
		out[i] = []byte(l)
	}
	return out
}
