package madeup_test

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// readers read one row of a layout back in the plainest way there is.
var readers = map[madeup.Layout]func(t *testing.T, row string) (at string, volts, amps float64){
	madeup.Commas:    split(",", 1),
	madeup.Tabs:      split("\t", 1),
	madeup.ClockTime: split(",", 1),
	madeup.DateTime:  split(",", 1),
	madeup.Semicolons: func(t *testing.T, row string) (string, float64, float64) {
		return split(";", 1)(t, strings.ReplaceAll(row, ",", "."))
	},
	madeup.Thousandths: func(t *testing.T, row string) (string, float64, float64) {
		require.NotContains(t, row, ".", "whole millivolts and milliamperes")
		return split(",", 1000)(t, row)
	},
	madeup.Labelled: func(t *testing.T, row string) (at string, volts, amps float64) {
		_, err := fmt.Sscanf(row, "t=%s V=%g A=%g", &at, &volts, &amps)
		require.NoError(t, err, row)
		return at, volts, amps
	},
	madeup.JSONLines: func(t *testing.T, row string) (string, float64, float64) {
		var v struct {
			Time    json.Number `json:"time_s"`
			Voltage float64     `json:"voltage_V"`
			Current float64     `json:"current_A"`
		}
		require.NoError(t, json.Unmarshal([]byte(row), &v), row)
		return v.Time.String(), v.Voltage, v.Current
	},
}

func split(separator string, per float64) func(*testing.T, string) (string, float64, float64) {
	return func(t *testing.T, row string) (string, float64, float64) {
		fields := strings.Split(row, separator)
		require.GreaterOrEqual(t, len(fields), 3, row)
		return fields[0], number(t, fields[1]) / per, number(t, fields[2]) / per
	}
}

func number(t *testing.T, text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return x
}

// Every layout says the same: what is written is the meter's reading to its
// last digit.
func TestLayoutsReadBack(t *testing.T) {
	began := time.Date(2026, 3, 14, 23, 58, 0, 0, time.UTC)
	for layout, read := range readers {
		t.Run(string(layout), func(t *testing.T) {
			n := plain()
			n.Layout, n.Began = layout, began
			n.Plan = []madeup.Phase{madeup.Sleep(60), madeup.ChargeFor(600), madeup.Sleep(60)}
			n.Meter = madeup.Meter{Every: 5, StepVolts: 0.001, StepAmps: 0.001, NoiseVolts: 0.01, NoiseAmps: 0.01}
			rows, _ := n.Collect()
			lines := strings.Split(strings.TrimSuffix(string(n.Log()), "\n"), "\n")
			data := lines[len(lines)-len(rows):]
			for i, row := range rows {
				at, volts, amps := read(t, data[i])
				require.Equal(t, when(layout, row), at)
				require.InDelta(t, row.Volts, volts, 1e-9, data[i])
				require.InDelta(t, row.Amps, amps, 1e-9, data[i])
			}
			for _, line := range lines[:len(lines)-len(rows)] {
				assert.True(t, strings.HasPrefix(line, "# ") || strings.Contains(line, "voltage"), line)
			}
			assert.Contains(t, lines[0], "invented data")
			assert.Contains(t, lines[1], "licence")
		})
	}
}

func when(layout madeup.Layout, s analyze.Sample) string {
	date := time.Unix(0, s.Wall).UTC()
	switch layout {
	case madeup.ClockTime:
		return date.Format("15:04:05")
	case madeup.DateTime:
		return date.Format("2006-01-02T15:04:05Z")
	}
	return strconv.FormatFloat(s.At, 'f', 0, 64)
}

func TestTheHouseholdUsesEveryLayout(t *testing.T) {
	used := map[madeup.Layout]bool{}
	for _, n := range madeup.Nights() {
		used[n.Layout] = true
	}
	for layout := range readers {
		assert.True(t, used[layout], layout)
	}
	assert.Len(t, used, len(readers))
}
