package quantity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseAccuracy(t *testing.T) {
	for text, want := range map[string]Accuracy{
		"0.5% + 3d":             {Fraction: 0.005, Digits: 3},
		"1%":                    {Fraction: 0.01},
		"3 digits":              {Digits: 3},
		"0.8% + 20mA":           {Fraction: 0.008, Absolute: 0.02, Of: Current},
		"0.05% + 2mV":           {Fraction: 0.0005, Absolute: 0.002, Of: Voltage},
		"±(0.5 % + 3)":          {Fraction: 0.005, Digits: 3},
		"+-(2 % + 3)":           {Fraction: 0.02, Digits: 3},
		"+/- 0.5% rdg + 2 dgt":  {Fraction: 0.005, Digits: 2},
		"50ppm + 1 count":       {Fraction: 50e-6, Digits: 1},
		"0.5% of reading + 10d": {Fraction: 0.005, Digits: 10},
	} {
		got, err := ParseAccuracy(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want.Fraction, got.Fraction, 1e-12, text)
		assert.Equal(t, want.Digits, got.Digits, text)
		assert.InDelta(t, want.Absolute, got.Absolute, 1e-12, text)
		assert.Equal(t, want.Of, got.Of, text)
	}
}

// The worked examples of a meter maker and of a training page, and rows by the
// same arithmetic. The second page also gives 0.1007 V for its reading, with
// the digits taken as hundredths of a percent; counts are multiples of the
// last digit, so its first working, 0.1304 V, is the right one.
func TestBoundOfPublishedReadings(t *testing.T) {
	for _, c := range []struct {
		text           string
		reading, digit float64
		want           float64
	}{
		{"0.08% + 2d", 2.000, 0.001, 0.0036},
		{"±(2 % + 3)", 5.02, 0.01, 0.1304},
		{"0.05% + 3", 12.65, 0.01, 0.036325},
		{"0.05% + 3", 12.650, 0.001, 0.009325},
		{"0.5% + 3d", 5.00, 0.01, 0.055},
		{"0.5% + 3d", 0.50, 0.01, 0.0325},
		{"0.5% + 3d", -0.50, 0.01, 0.0325},
	} {
		a, err := ParseAccuracy(c.text)
		require.NoError(t, err)
		assert.InDelta(t, c.want, a.Bound(c.reading, c.digit), 1e-6, "%s at %v", c.text, c.reading)
	}
}

func TestParseAccuracyRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":               "does not begin with a number",
		"0.5":            "say whether it is 0.5% or 0.5d",
		"0.5 + 3d":       "say whether it is 0.5% or 0.5d",
		"0.5% + -3d":     "is below zero",
		"(0.5% + 3d":     "bracket is not closed",
		"1% of range":    "not a share of the reading",
		"1% + 2mA + 1mV": "cannot be added to a current",
		"1% + 3 apples":  "neither % nor digits",
		"good":           "does not begin with a number",
		"1% + 1K":        "neither % nor digits",
		"1% + 3d extra":  "neither % nor digits",
	} {
		_, err := ParseAccuracy(text)
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
