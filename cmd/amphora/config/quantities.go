package config

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"amphora/analyze/quantity"
)

// amount reads a quantity above zero, in the SI unit of its kind.
func (r *reader) amount(p *float64, k quantity.Kind, bareUnit string) func(node) {
	return parsed(r, p, k.String(), func(text string) (float64, error) { return k.ParsePositive(text, bareUnit) })
}

// duration reads a time above zero.
func (r *reader) duration(p *time.Duration, bareUnit string, most time.Duration) func(node) {
	return r.durationWithin(p, bareUnit, 0, most)
}

func (r *reader) durationWithin(p *time.Duration, bareUnit string, least, most time.Duration) func(node) {
	return parsed(r, p, quantity.Time.String(), func(text string) (time.Duration, error) {
		seconds, err := quantity.Time.ParsePositive(text, bareUnit)
		switch {
		case err != nil:
			return 0, err
		case seconds > most.Seconds():
			return 0, fmt.Errorf("is too long, want %s at most", brief(most))
		case seconds < least.Seconds():
			return 0, fmt.Errorf("is too short, want %s at least", brief(least))
		}
		return time.Duration(seconds * float64(time.Second)), nil
	})
}

// brief writes a time without the zeros at its end.
func brief(d time.Duration) string {
	text := d.String()
	for _, whole := range []string{"m0s", "h0m"} {
		if strings.HasSuffix(text, whole) {
			text = text[:len(text)-2]
		}
	}
	return text
}

// sizes are the units of a size, in bytes: those of the SI, and of IEC 80000-13.
var sizes = map[string]float64{
	"B": 1, "kB": 1e3, "MB": 1e6, "GB": 1e9, "TB": 1e12,
	"KiB": 1 << 10, "MiB": 1 << 20, "GiB": 1 << 30, "TiB": 1 << 40,
}

// size reads a number of bytes.
func (r *reader) size(p *uint64) func(node) {
	return parsed(r, p, "a size like 500MB", func(text string) (uint64, error) {
		const want = "want a size like 500MB or 2GiB"
		text = strings.TrimSpace(text)
		number := strings.TrimRight(text, "BKMGTkbi ")
		value, err := strconv.ParseFloat(number, 64)
		unit, known := sizes[strings.TrimSpace(text[len(number):])]
		switch {
		case err != nil:
			return 0, fmt.Errorf("%q is not a size, %s", text, want)
		case !known:
			return 0, fmt.Errorf("%q: the unit is not one of B, kB, MB, GB, TB, KiB, MiB, GiB, TiB, %s", text, want)
		case !(value > 0 && value*unit <= 1<<60):
			return 0, fmt.Errorf("%q is not what a disk can have free, %s", text, want)
		}
		return uint64(value * unit), nil
	})
}
