package main

import (
	"fmt"
	"math"
	"strconv"

	"amphora/analyze"
)

// value is text for what may be unknown; empty then.
func value[T any](v *T) string {
	if v == nil {
		return ""
	}
	return fmt.Sprint(*v)
}

// float writes a number that may be unknown, multiplied, so finely as it was given.
func float(v *float64, times float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(rounded(*v*times), 'f', -1, 64)
}

// degrees writes a temperature to a tenth: one in Fahrenheit has no end in Celsius.
func degrees(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(math.Round(*v*10)/10, 'f', -1, 64)
}

func unit(v *float64, unit string) string {
	if v == nil {
		return ""
	}
	return float(v, 1) + " " + unit
}

// known writes a number of a summary, or nothing.
func known(n analyze.Number, format string) string {
	if !analyze.Known(n) {
		return ""
	}
	return fmt.Sprintf(format, float64(n))
}
