package quantity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

func TestParseAccuracy(t *testing.T) {
	for text, want := range map[string]analyze.Accuracy{
		"0.5% + 3d":             {Fraction: 0.005, Digits: 3},
		"1%":                    {Fraction: 0.01},
		"3 digits":              {Digits: 3},
		"0.8% + 20mA":           {Fraction: 0.008, Absolute: 0.02},
		"1% + 1mA + 0.5A":       {Fraction: 0.01, Absolute: 0.501},
		"±(0.5 % + 3)":          {Fraction: 0.005, Digits: 3},
		"+-(2 % + 3)":           {Fraction: 0.02, Digits: 3},
		"+/- 0.5% rdg + 2 dgt":  {Fraction: 0.005, Digits: 2},
		"50ppm + 1 count":       {Fraction: 50e-6, Digits: 1},
		"0.5% of reading + 10d": {Fraction: 0.005, Digits: 10},
	} {
		got, err := Current.ParseAccuracy(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want.Fraction, got.Fraction, 1e-12, text)
		assert.Equal(t, want.Digits, got.Digits, text)
		assert.InDelta(t, want.Absolute, got.Absolute, 1e-12, text)
	}
	volts, err := Voltage.ParseAccuracy("0.05% + 2mV")
	require.NoError(t, err)
	assert.InDelta(t, 0.002, volts.Absolute, 1e-12)
}

func TestParseAccuracyRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":               "does not begin with a number",
		"0.5":            "say whether it is 0.5% or 0.5d",
		"0.5 + 3d":       "say whether it is 0.5% or 0.5d",
		"0.5% + -3d":     "is below zero",
		"(0.5% + 3d":     "bracket is not closed",
		"1% of range":    "not a share of the reading",
		"1% + 2mA + 1mV": "neither % nor digits nor a current",
		"1% + 3 apples":  "neither % nor digits",
		"good":           "does not begin with a number",
		"1% + 1K":        "neither % nor digits",
		"1% + 3d extra":  "neither % nor digits",
	} {
		_, err := Current.ParseAccuracy(text)
		assert.ErrorContains(t, err, want, text)
		assert.ErrorContains(t, err, "0.5% + 3d", text)
	}
}

func TestParseFraction(t *testing.T) {
	for text, want := range map[string]float64{"60%": 0.6, "0.6": 0.6, "60": 0.6, "1": 1, "1%": 0.01, " 100 % ": 1, "0": 0} {
		got, err := ParseFraction(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want, got, 1e-12, text)
	}
	for text, want := range map[string]string{"120%": "not between", "-0.1": "not between", "half": "60% or 0.6", "0.5Ah": "no unit of a share", "": "60% or 0.6"} {
		_, err := ParseFraction(text)
		assert.ErrorContains(t, err, want, text)
	}
}

func TestParseAmountOrShare(t *testing.T) {
	amount, share, err := Current.ParseAmountOrShare("350mA", "A")
	require.NoError(t, err)
	assert.InDelta(t, 0.35, amount, 1e-12)
	assert.True(t, math.IsNaN(share))

	amount, share, err = Current.ParseAmountOrShare("2%", "A")
	require.NoError(t, err)
	assert.True(t, math.IsNaN(amount))
	assert.Equal(t, 0.02, share)

	_, _, err = Current.ParseAmountOrShare("2V", "A")
	assert.ErrorContains(t, err, "or a share like 2%")
}
