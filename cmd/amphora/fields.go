package main

import (
	"fmt"
	"strconv"
	"strings"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/quantity"
	"amphora/dashboards/label"

	"github.com/spf13/cobra"
)

// field is one field of a logbook's record and the flag that gives it.
type field struct {
	name  string // in JSON
	flag  string
	kind  quantity.Kind // None: no unit
	unit  string        // that JSON is in, and a bare number
	parse func(text string) (any, error)
	usage string
}

var batteryFields = []field{
	{name: "chemistry", flag: "chemistry", parse: words, usage: "`kind` of battery: " + strings.Join(analyze.ChemistryNames(), ", ")},
	{name: "cells", flag: "cells", parse: whole, usage: "`number` of cells in series"},
	{name: "capacity_ah", flag: "capacity", parse: ratedCharge, usage: "capacity on the label, like 35`Ah`"},
	{name: "capacity_hours", flag: "rated-hours", parse: ratedHours, usage: "the discharge time that the capacity is rated over, like 20`h`"},
	{name: "reserve_minutes", flag: "reserve-minutes", kind: quantity.Time, unit: "min", usage: "reserve minutes on the label, like 85`min`"},
	{name: "bought", flag: "bought", parse: words, usage: "`date`, as exactly as it is known: 2026-03-14, 2026-03 or 2026"},
	{name: "where", flag: "where", parse: words, usage: "where it was bought or stands, in your `words`"},
	{name: "note", flag: "note", parse: words, usage: "anything else, in your `words`"},
}

var readingFields = []field{
	{name: "at", flag: "at", parse: instant, usage: "`time` of the reading, like 2026-03-14T21:40 (default: now)"},
	{name: "ohm", flag: "ohm", kind: quantity.Resistance, unit: "ohm", usage: "inner `resistance`, like 29mohm; a bare number is ohms"},
	{name: "volts", flag: "volts", kind: quantity.Voltage, unit: "V", usage: "voltage at rest, like 12.73`V`"},
	{name: "gravity", flag: "gravity", parse: plain, usage: "specific `gravity` of the acid, like 1.265"},
	{name: "celsius", flag: "celsius", kind: quantity.Temperature, unit: "C", usage: "temperature of the battery, like 18`C`"},
	{name: "remark", flag: "remark", parse: words, usage: "what was seen, in your `words`"},
	{name: "means", flag: "means", parse: words, usage: "the `meter` it was measured with, in your words"},
}

// fieldFlags gives a command the flags of some fields. What it returns is filled
// as the flags are read; an empty value makes the field unknown.
func fieldFlags(c *cobra.Command, fields []field) logbook.Fields {
	given := logbook.Fields{}
	for _, f := range fields {
		c.Flags().Func(f.flag, f.usage, func(text string) error {
			value, err := f.value(text)
			given[f.name] = value
			return err
		})
	}
	return given
}

// value is what the text means in JSON.
func (f field) value(text string) (any, error) {
	switch {
	case strings.TrimSpace(text) == "":
		return nil, nil
	case f.parse != nil:
		return f.parse(text)
	}
	si, err := f.kind.Parse(text, f.unit)
	if err != nil {
		return nil, err
	}
	one, err := f.kind.Parse("1", f.unit)
	if err != nil {
		return nil, err
	}
	return rounded(si / one), nil
}

// rounded drops the last bits of a conversion, so that 0.3 Ah stays 0.3.
func rounded(x float64) float64 {
	// What FormatFloat writes ParseFloat reads.
	short, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64)
	return short
}

func words(text string) (any, error) { return text, nil }

func whole(text string) (any, error) {
	n, err := strconv.Atoi(text)
	if err != nil {
		return nil, fmt.Errorf("%q is not a whole number, want text like 6", text)
	}
	return n, nil
}

func plain(text string) (any, error) {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return nil, fmt.Errorf("%q is not a number, want text like 1.265", text)
	}
	return x, nil
}

// ratedCharge is a capacity in Ah, and ratedHours a time in h, as labels have them.
func ratedCharge(text string) (any, error) {
	charge, err := quantity.Charge.Parse(text, "Ah")
	if err != nil {
		return nil, label.Rated(text, err)
	}
	return rounded(charge / 3600), nil
}

func ratedHours(text string) (any, error) {
	t, err := label.RatedTime(text)
	return rounded(t / 3600), err
}

func instant(text string) (any, error) { return parseWhen(text) }
