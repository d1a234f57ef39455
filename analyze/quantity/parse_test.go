package quantity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseGivesSI(t *testing.T) {
	for _, c := range []struct {
		kind Kind
		text string
		bare string
		want float64
	}{
		{Charge, "35Ah", "", 126000}, // 1 Ah = 3600 C by definition
		{Charge, "3500 mAh", "", 12600},
		{Charge, "60", "Ah", 216000},
		{Charge, "150000C", "Ah", 150000},
		{Current, "3.5A", "", 3.5},
		{Current, "-250mA", "", -0.25},
		{Current, "−250mA", "", -0.25},
		{Current, "3.5a", "", 3.5},
		{Resistance, "29mohm", "", 0.029},
		{Resistance, "29mΩ", "", 0.029},
		{Resistance, "29", "mohm", 0.029},
		{Voltage, "14.4V", "", 14.4},
		{Voltage, " .5 V ", "", 0.5},
		{Voltage, "1.44e1", "V", 14.4},
		{Time, "85min", "", 5100},
		{Time, "20h", "", 72000},
		{Time, "1h30min", "", 5400},
		{Time, "1h 30min 5s", "", 5405},
		{Time, "2d", "", 172800},
		{Time, "90", "min", 5400},
		{Temperature, "18C", "", 18},
		{Temperature, "-18°C", "", -18},
		{Temperature, "80F", "", 26.6666667}, // the reserve capacity's temperature, 26.7 C
		{Temperature, "291.15K", "", 18},
		{Energy, "420Wh", "", 1512000},
		{Length, "1.5m", "", 1.5},
		{Length, "10ft", "", 3.048}, // the foot is 0.3048 m by definition
		{Area, "2.5mm2", "", 2.5e-6},
		{Area, "2.5", "mm2", 2.5e-6},
	} {
		got, err := c.kind.Parse(c.text, c.bare)
		require.NoError(t, err, c.text)
		assert.InDelta(t, c.want, got, 1e-7*math.Max(1e-6, math.Abs(c.want)), c.text)
	}
}

func TestParseSaysWhatWasMeant(t *testing.T) {
	for _, c := range []struct {
		kind Kind
		text string
		bare string
		want string
	}{
		{Current, "3.5V", "A", `"3.5V" is a voltage, want a current like 3.5A`},
		{Charge, "60A", "Ah", `"60A" is a current, want a charge like 35Ah`},
		{Charge, "90min", "Ah", `"90min" is a time, want a charge`},
		{Charge, "60%", "Ah", `"60%" is a share, want a charge`},
		{Current, "3,5A", "A", "comma"},
		{Charge, "1,000mAh", "Ah", "thousands separator"},
		{Current, "5MA", "A", "a thousandth is a small m"},
		{Current, "", "A", "nothing given"},
		{Current, "   ", "A", "nothing given"},
		{Current, "much", "A", "does not begin with a number"},
		{Current, "0x10A", "A", `unit "x" is not known`},
		{Current, "inf", "A", "does not begin with a number"},
		{Current, "NaN", "A", "does not begin with a number"},
		{Current, "1e999A", "A", "not a number that can be used"},
		{Current, "3.5", "", "has no unit"},
		{Current, "540 A EN", "A", `leave out "EN"`},
		{Current, "540 A (EN)", "A", `leave out "(EN)"`},
		{Current, "3A 4A", "A", "more than one number"},
		{Current, "12V 3A", "A", "is a voltage"},
		{Time, "1h-30min", "", "more than one number"},
		{Time, "1e308d", "", "beyond what a time can be"},
		{Temperature, "-300C", "", "beyond what a temperature can be"},
		{Length, "2.5mm2", "m", "more than one number"},
	} {
		_, err := c.kind.Parse(c.text, c.bare)
		assert.ErrorContains(t, err, c.want, c.text)
	}
}

func TestParsePositiveRefusesNothing(t *testing.T) {
	for _, text := range []string{"0Ah", "-5Ah"} {
		_, err := Charge.ParsePositive(text, "Ah")
		assert.ErrorContains(t, err, "not above zero", text)
	}
	v, err := Charge.ParsePositive("5", "Ah")
	require.NoError(t, err)
	assert.Equal(t, 18000.0, v)
}

// Every unit that is listed must parse as itself, also as the bare unit.
func TestEveryUnitIsAccepted(t *testing.T) {
	for k := Voltage; k <= Area; k++ {
		for _, u := range kinds[k].units {
			want := 7*u.factor + u.offset
			for _, c := range [][2]string{{"7" + u.symbol, ""}, {"7", u.symbol}} {
				got, err := k.Parse(c[0], c[1])
				require.NoError(t, err, "%s %v", k, c)
				assert.Equal(t, want, got, "%s %v", k, c)
			}
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"35Ah", "3.5A", "29mohm", "14.4V", "85min", "20h", "18C", "1h30min", "-1e3", "3,5", "µV", "−5C", "2.5mm2", "1e308d"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		bare := map[Kind]string{Voltage: "V", Current: "A", Resistance: "ohm", Charge: "Ah", Energy: "Wh", Time: "s", Temperature: "C", Length: "m", Area: "mm2"}
		for k, unit := range bare {
			v, err := k.Parse(s, unit)
			if err != nil {
				assert.Zero(t, v)
				continue
			}
			assert.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%s %q gave %v", k, s, v)
			padded, err := k.Parse(" "+s+" ", unit)
			assert.NoError(t, err, "blanks around %q", s)
			assert.Equal(t, v, padded, "blanks around %q", s)
		}
		if v, err := ParseFraction(s); err == nil {
			assert.True(t, v >= 0 && v <= 1, "%q gave %v", s, v)
		}
		if a, err := Voltage.ParseAccuracy(s); err == nil {
			assert.True(t, min(a.Fraction, a.Digits, a.Absolute) >= 0, "%q gave %v", s, a)
		}
	})
}
