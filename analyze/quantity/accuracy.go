package quantity

import (
	"fmt"
	"strings"

	"amphora/analyze"
)

// ParseAccuracy reads the accuracy of a meter of k as its sheet gives it: "0.5% + 3d",
// "1%", "3 digits", "0.8% + 20mA", "±(2 % + 3)". Behind a percentage a bare
// number counts digits, as on many sheets; alone it would be a guess. A share
// of the range is refused, since the reading does not tell the range.
func (k Kind) ParseAccuracy(text string) (analyze.Accuracy, error) {
	var a analyze.Accuracy
	body := strings.TrimSpace(text)
	for _, sign := range []string{"±", "+/-", "+-"} {
		body = strings.TrimSpace(strings.TrimPrefix(body, sign))
	}
	if inner, ok := strings.CutPrefix(body, "("); ok {
		if body, ok = strings.CutSuffix(inner, ")"); !ok {
			return a, fmt.Errorf("accuracy %q: the bracket is not closed", text)
		}
	}
	for i, term := range strings.Split(body, "+") {
		if err := k.addTerm(&a, strings.TrimSpace(term), i > 0 && a.Fraction > 0); err != nil {
			return analyze.Accuracy{}, fmt.Errorf("accuracy %q: %w; want text like 0.5%% + 3d", text, err)
		}
	}
	return a, nil
}

// addTerm takes one term of the sum.
func (k Kind) addTerm(a *analyze.Accuracy, term string, bareCounts bool) error {
	value, symbol, err := number(term, term)
	if err != nil {
		return err
	}
	if value < 0 {
		return fmt.Errorf("%q is below zero", term)
	}
	switch symbol = strings.ToLower(strings.TrimSpace(symbol)); symbol {
	case "%", "% rdg", "% reading", "% of reading":
		a.Fraction += value / 100
		return nil
	case "ppm":
		a.Fraction += value * 1e-6
		return nil
	case "d", "dgt", "dgts", "digit", "digits", "count", "counts", "ct", "cts", "lsd":
		a.Digits += value
		return nil
	case "":
		if !bareCounts {
			return fmt.Errorf("%q has no unit, say whether it is %s%% or %sd", term, term, term)
		}
		a.Digits += value
		return nil
	}
	if strings.HasPrefix(symbol, "%") {
		return fmt.Errorf("%q is not a share of the reading, work it out and give it in the unit of the reading", term)
	}
	v, err := k.Parse(term, "")
	if err != nil {
		return fmt.Errorf("%q is neither %% nor digits nor %s", term, k)
	}
	a.Absolute += v
	return nil
}
