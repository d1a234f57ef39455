package report

import (
	"fmt"
	"strconv"

	"amphora/analyze"
)

func at(n analyze.Number) string { return analyze.Clock(float64(n)) }

// ah writes ampere-hours so finely as a person reads them.
func ah(n analyze.Number) string {
	switch {
	case !analyze.Known(n):
		return "-"
	case n < 1 && n > -1:
		return fmt.Sprintf("%.4f", float64(n))
	}
	return fmt.Sprintf("%.2f", float64(n))
}

// plainly writes a number with so many digits that count, and never with a power of ten,
// which is not how people write what a forklift takes or a meter of microamperes cannot tell.
func plainly(n analyze.Number, digits int) string {
	if !analyze.Known(n) {
		return "-"
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(float64(n), 'g', digits, 64), 64)
	if err != nil {
		return "-"
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

func number(n analyze.Number, format string) string {
	if !analyze.Known(n) {
		return "-"
	}
	return fmt.Sprintf(format, float64(n))
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
