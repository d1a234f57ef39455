package quantity

import (
	"fmt"
	"math"
	"strings"
)

// Accuracy is a meter's stated accuracy: the true value lies within the sum of
// three parts of what the meter shows.
type Accuracy struct {
	Fraction float64 // of the reading
	Digits   float64 // steps of the last digit shown
	Absolute float64 // in the SI unit of Of
	Of       Kind    // what Absolute measures, None without one
}

// Bound is the largest error, in the unit of reading, that the statement
// allows at a reading shown in steps of digit.
func (a Accuracy) Bound(reading, digit float64) float64 {
	return a.Fraction*math.Abs(reading) + a.Digits*digit + a.Absolute
}

// ParseAccuracy reads a meter's accuracy as its sheet gives it: "0.5% + 3d",
// "1%", "3 digits", "0.8% + 20mA", "±(2 % + 3)". Behind a percentage a bare
// number counts digits, as on many sheets; alone it would be a guess. A share
// of the range is refused, since the reading does not tell the range.
func ParseAccuracy(text string) (Accuracy, error) {
	var a Accuracy
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
		if err := a.add(strings.TrimSpace(term), i > 0 && a.Fraction > 0); err != nil {
			return Accuracy{}, fmt.Errorf("accuracy %q: %w; want text like 0.5%% + 3d", text, err)
		}
	}
	return a, nil
}

// add takes one term of the sum.
func (a *Accuracy) add(term string, bareCounts bool) error {
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
		return fmt.Errorf("%q is not a share of the reading, work it out and give it in volts or amperes", term)
	}
	return a.addAbsolute(term)
}

// addAbsolute takes a term in volts or amperes.
func (a *Accuracy) addAbsolute(term string) error {
	for _, k := range []Kind{Voltage, Current} {
		v, err := k.Parse(term, "")
		if err != nil {
			continue
		}
		if a.Of != None && a.Of != k {
			return fmt.Errorf("%q is %s and cannot be added to %s", term, k, a.Of)
		}
		a.Absolute, a.Of = a.Absolute+v, k
		return nil
	}
	return fmt.Errorf("%q is neither %% nor digits nor a voltage or current", term)
}
