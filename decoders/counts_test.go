package decoders

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCountsInNames(t *testing.T) {
	for _, c := range []struct {
		name string
		unit string // for any number
		of   string // for whole numbers; "" where it is no other
	}{
		{"t (0.1 s)", "0.1s", ""},
		{"voltage x0.01V", "0.01V", ""},
		{"voltage (×0.01 V)", "0.01V", ""},
		{"temp_0.1C", "0.1C", ""},
		{"T (1/10 °C)", "0.1C", ""},
		{"U/0,01V", "0.01V", ""},
		{"voltage (2 mV)", "mV", "2mV"},
		{"I [1.25 mA]", "mA", "1.25mA"},
		{"i_10mA", "", "10mA"},
		{"voltage [V*100]", "", "0.01V"},
		{"current (mA x 4)", "", "0.25mA"},
		{"t(ds)", "ds", ""},
		{"tempDeciC", "dC", ""},
		{"pack decivolts", "dV", ""},
		{"battery 12V", "", ""}, // its nominal voltage
		{"I (10 A)", "A", ""},   // its range
		{"cell 2 mV", "mV", ""}, // the second
		{"cell2mV", "", ""},
		{"U (1 s mean)", "", ""},
		{"voltage", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			n := understand(c.name)
			assert.Equal(t, c.unit, nameOf(n.unit))
			assert.Equal(t, c.of, nameOf(n.count))
			for _, u := range []*unit{n.unit, n.count} {
				if u != nil {
					again := Field{Quantity: n.of, Form: u.name}
					require.NoError(t, again.resolve(), "it reads back")
					assert.InEpsilon(t, u.si(300), again.unit.si(300), 1e-12)
				}
			}
		})
	}
}

func nameOf(u *unit) string {
	if u == nil {
		return ""
	}
	return u.name
}

func TestPartsOfUnits(t *testing.T) {
	for text, want := range map[string]float64{"0.1C": 21.5, "0.1K": -251.65, "0.1F": -5.833333333333333, "2mV": 0.43, "0.25mA": 0.05375} {
		q := map[byte]Quantity{'V': Volts, 'A': Amps}[text[len(text)-1]]
		if q == Time {
			q = Celsius
		}
		assert.InDelta(t, want, partUnit(text, q).si(215), 1e-12, text)
	}
}

// A temperature that states no unit is none of a hundred degrees.
func TestTemperatureWithoutUnit(t *testing.T) {
	for _, c := range []struct {
		name string
		cell func(celsius float64) string
		form string // "" where it must be left out
	}{
		{"temp", func(c float64) string { return fmt.Sprintf("%.1f", c) }, "C"},
		{"temp", func(c float64) string { return fmt.Sprintf("%.0f", c*10) }, "dC"},
		{"temp", func(c float64) string { return fmt.Sprintf("%.0f", c*1000) }, "mC"},
		{"temp", func(c float64) string { return fmt.Sprintf("%.2f", c+273.15) }, "K"},
		{"temp", func(c float64) string { return fmt.Sprintf("%.0f", c+273.15) }, ""}, // or tenths
		{"temp", func(c float64) string { return fmt.Sprintf("%.1f", c*40) }, ""},
		{"temp mosfet", func(c float64) string { return fmt.Sprintf("%.1f", c) }, ""},
	} {
		lines := bytesOf(logOf("time_s,voltage_V,current_A,"+c.name, func(_ int, r row) string {
			return fmt.Sprintf("%.0f,%.3f,%.3f,", r.t, r.v, r.i) + c.cell(r.celsius)
		}))
		f, err := Fit(head(lines), Options{})
		require.NoError(t, err)
		if c.form == "" {
			assert.NotContains(t, f.Columns, "temperature", c.name)
			continue
		}
		assert.True(t, strings.HasSuffix(f.Columns, "temperature_"+c.form), f.Columns)
	}
}

// A count in odd numbers is believed of whole numbers alone, and not beside a unit in the cells.
func TestCountsOfWholeNumbers(t *testing.T) {
	for _, c := range []struct{ cell, unit string }{{"6830", "2mV"}, {"6830.5", "mV"}, {"7000 mV", "V"}} {
		col := column{name: "voltage (2 mV)", cells: [][]byte{[]byte(c.cell), []byte(c.cell)}}
		col.study('.')
		assert.Equal(t, c.unit, nameOf(col.said.unit), c.cell)
	}
}

// A letter behind a number is a part of the unit that the heading says.
func TestPrefixesBehindNumbers(t *testing.T) {
	f := Field{Quantity: Amps, Form: "A"}
	require.NoError(t, f.resolve())
	for cell, want := range map[string]float64{"350m": 0.35, "350 u": 350e-6, "350\u00b5": 350e-6, "350\u03bc": 350e-6, "350\xb5": 350e-6, "0.35k": 350} {
		x, err := f.value([]byte(cell), '.')
		assert.NoError(t, err, cell)
		assert.InDelta(t, want, x, 1e-12, cell)
	}
}
