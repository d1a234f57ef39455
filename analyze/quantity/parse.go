package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Parse reads a quantity of this kind and gives it in the SI unit of the kind
// (degrees Celsius for temperatures). A number without a unit is in bareUnit,
// one of the kind's own symbols; with bareUnit "" the unit must be written.
// A time may be a sum, "1h30min". NaN and infinity are never returned.
func (k Kind) Parse(text, bareUnit string) (float64, error) {
	rest := strings.TrimSpace(text)
	if rest == "" {
		return 0, fmt.Errorf("nothing given, want %s like %s", k, kinds[k].example)
	}
	total := 0.0
	for first := true; rest != ""; first = false {
		if !first && numberEnd(rest) == 0 { // 540 A EN, as labels have it
			return 0, fmt.Errorf("%q: leave out %q, want %s like %s", text, rest, k, kinds[k].example)
		}
		var value float64
		var err error
		before := rest
		value, rest, err = k.term(text, rest, bareUnit)
		if err != nil {
			return 0, err
		}
		if !first && (k != Time || strings.ContainsAny(before[:1], "+-")) {
			return 0, fmt.Errorf("%q holds more than one number, want %s like %s", text, k, kinds[k].example)
		}
		total += value
	}
	if math.IsInf(total, 0) || k == Temperature && total < absoluteZero {
		return 0, fmt.Errorf("%q is beyond what %s can be", text, k)
	}
	return total, nil
}

// ParsePositive is Parse for a quantity that cannot be zero or negative.
func (k Kind) ParsePositive(text, bareUnit string) (float64, error) {
	v, err := k.Parse(text, bareUnit)
	if err == nil && v <= 0 {
		return 0, fmt.Errorf("%q is not above zero, want %s like %s", text, k, kinds[k].example)
	}
	return v, err
}

// term reads one number with its unit off the front of rest. whole is the
// complete text, for the message.
func (k Kind) term(whole, rest, bareUnit string) (value float64, tail string, err error) {
	value, rest, err = number(whole, rest)
	if err != nil {
		return 0, "", fmt.Errorf("%w, want %s like %s", err, k, kinds[k].example)
	}
	rest = strings.TrimLeft(rest, " ")
	symbol, tail := rest, ""
	// A digit right after letters begins another term, except in mm2.
	if i := strings.IndexAny(rest, " 0123456789+-."); i >= 0 && k != Area {
		symbol, tail = rest[:i], strings.TrimLeft(rest[i:], " ")
	}
	if symbol == "" {
		if bareUnit == "" {
			return 0, "", fmt.Errorf("%q has no unit, want %s like %s", whole, k, kinds[k].example)
		}
		symbol = bareUnit
	}
	u, ok := k.find(symbol)
	if !ok {
		return 0, "", k.wrongUnit(whole, symbol)
	}
	return value*u.factor + u.offset, tail, nil
}

// wrongUnit says what the unit would have meant, and what is wanted.
func (k Kind) wrongUnit(whole, symbol string) error {
	want := fmt.Sprintf("want %s like %s (units: %s)", k, kinds[k].example, k.symbols())
	switch other := kindOf(symbol); {
	case other != None:
		return fmt.Errorf("%q is %s, %s", whole, other, want)
	case symbol == "%":
		return fmt.Errorf("%q is a share, %s", whole, want)
	case strings.HasPrefix(symbol, "M"):
		return fmt.Errorf("%q: unit %q is not known, a thousandth is a small m; %s", whole, symbol, want)
	}
	return fmt.Errorf("%q: unit %q is not known, %s", whole, symbol, want)
}

// number reads a decimal number off the front of s. strconv alone would also
// take hexadecimal, "inf" and "1_000", which nobody means on a label.
func number(whole, s string) (value float64, rest string, err error) {
	s = strings.Replace(s, "−", "-", 1) // the typographic minus of word processors
	end := numberEnd(s)
	if end == 0 {
		return 0, "", fmt.Errorf("%q does not begin with a number", whole)
	}
	if end < len(s) && s[end] == ',' {
		return 0, "", fmt.Errorf("%q has a comma, write the decimal point as in 3.5 and no thousands separator", whole)
	}
	value, err = strconv.ParseFloat(s[:end], 64)
	if err != nil {
		return 0, "", fmt.Errorf("%q is not a number that can be used", whole)
	}
	return value, s[end:], nil
}

// numberEnd is the length of the number that s begins with, 0 where there is
// none. An e counts only with digits behind it.
func numberEnd(s string) int {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	start := i
	i = digits(s, i)
	n := i - start
	if i < len(s) && s[i] == '.' {
		j := digits(s, i+1)
		n += j - i - 1
		i = j
	}
	if n == 0 {
		return 0
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if j < len(s) && (s[j] == '+' || s[j] == '-') {
			j++
		}
		if k := digits(s, j); k > j {
			i = k
		}
	}
	return i
}

// digits returns the index behind the run of digits that starts at i.
func digits(s string, i int) int {
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return i
}
