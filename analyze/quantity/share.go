package quantity

import (
	"fmt"
	"math"
	"strings"

	"amphora/analyze"
)

// ParseFraction reads a share of a whole, "60%" or "0.6", and gives 0 to 1. A
// bare number up to 1 is the fraction itself; above 1 and up to 100 nobody can
// mean anything but percent.
func ParseFraction(text string) (float64, error) {
	s := strings.TrimSpace(text)
	v, rest, err := number(text, s)
	if err != nil {
		return 0, fmt.Errorf("%w, want a share like 60%% or 0.6", err)
	}
	switch rest = strings.TrimSpace(rest); {
	case rest == "%", rest == "" && v > 1:
		v /= 100
	case rest != "":
		return 0, fmt.Errorf("%q: %q is no unit of a share, want 60%% or 0.6", text, rest)
	}
	if v < 0 || v > 1 {
		return 0, fmt.Errorf("%q is not between 0 and 100%%", text)
	}
	return v, nil
}

// ParseAmountOrShare reads either an amount of this kind or a percentage of
// something that the caller knows, as in a tail of "0.35A" or "2%". The one
// that was not given is NaN. A bare number is in bareUnit.
func (k Kind) ParseAmountOrShare(text, bareUnit string) (amount, share float64, err error) {
	if strings.HasSuffix(strings.TrimSpace(text), "%") {
		share, err = ParseFraction(text)
		return math.NaN(), share, err
	}
	amount, err = k.Parse(text, bareUnit)
	if err != nil {
		return math.NaN(), math.NaN(), fmt.Errorf("%w, or a share like 2%%", err)
	}
	return amount, math.NaN(), nil
}

// ParseTail reads the current at which a charge is complete: "0.35A", or "2%" of the
// capacity.
func ParseTail(text string) (analyze.Tail, error) {
	amps, share, err := Current.ParseAmountOrShare(text, "A")
	switch {
	case err != nil:
		return analyze.Tail{}, err
	case amps > 0:
		return analyze.Tail{Amps: amps}, nil
	case share > 0:
		return analyze.Tail{Fraction: share}, nil
	}
	return analyze.Tail{}, fmt.Errorf("%q is not above zero", text)
}
