package report

import (
	"fmt"

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
