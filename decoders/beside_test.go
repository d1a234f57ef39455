package decoders

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Words, shares, panels and settings beside the battery's own values.
func TestWhatStandsBesideIsNotTaken(t *testing.T) {
	f := fmt.Sprintf
	state := func(r row) string {
		switch {
		case r.i == 0:
			return "IDLE"
		case r.v > 14.39:
			return "CV"
		}
		return "CC"
	}
	for _, c := range []struct {
		name, header string
		line         func(r row) string
		columns      string
	}{
		{"states like units, decimal comma", "",
			func(r row) string {
				return r.at().Format("15:04:05;") + state(r) + comma(";%.1f;%.2f;OK;0", 2*r.v, -r.i)
			}, "clock_h:m:s, voltage_V, -current_A"},
		{"states like units between values with units", "run;V;I;state;PV voltage;case;level;unit",
			func(r row) string {
				return f("%d:%02d,%.0f mV,%.3f A,%s,%.2f V,%.1f °C,%.0f %%,A1", int(r.t)/60, int(r.t)%60, r.v*1000, r.i, state(r), 1.3*r.v, 20+r.celsius/10, 40+10*r.ah/2)
			}, "time_m:s, voltage_V, current_A, temperature_C"},
		{"least and most between units", "Hora;Vmin;Vmax;Corrente de carga;Tensão",
			func(r row) string {
				return r.at().Format("2006-01-02T15:04:05;") + f("%.2f V;%.2f V;%.0f mA;%.0f mV", math.Min(12.19, r.v), math.Max(12.33, r.v), r.i*1000, r.v*1000)
			}, "stamp_y-m-d, current_A, voltage_V"},
		{"a share that rises by one each minute, beside a stamp", "R.BR. | VRIJEME | NAPUNJENOST | NAPON | STRUJA",
			func(r row) string {
				return f("%.0f | %s | %d | %.2f V | %.3f A", 1+r.t/10, r.at().Format("2006-01-02T15:04:05-07:00"), 20+int(r.t)/60, r.v, r.i)
			}, "stamp_y-m-d, voltage_V, current_A"},
		{"power and a share as cold as a battery", "tid\tEffekt\tStröm\tSpänning\tNivå (%)",
			func(r row) string { return f("%.0f\t%.1f\t%.3f\t%.3f\t%.0f", r.t, r.v*r.i, r.i, r.v, 20+2*r.ah) },
			"time_s, current_A, voltage_V"},
		{"a coarse pack beside its finest and its last cell", "",
			func(r row) string {
				return r.at().Format("15:04:05 ") + f("pack=%.1fV curr=%.2fA cmin=%.3fV cmax=%.3fV", r.v, r.i, r.v/4-0.014, r.v/4+0.014)
			}, "clock_h:m:s, voltage_V, current_A"},
		{"a stamp with blanks in it, between blanks", "Datum/tijd  Temperatuur_°C  Stroom_A  Accuspanning_V",
			func(r row) string {
				return r.at().Format("Mon Jan 02 15:04:05 2006") + f("  %.1f  %.2f  %.2f", r.celsius, r.i, r.v/4)
			}, "stamp_m-d-y, temperature_C, current_A, voltage_V"},
		{"the power of a third, without a name", "",
			func(r row) string {
				if r.i < 0.5 {
					return ""
				}
				return f("%.0f;%.3f;%.3f;%.2f", r.t, r.v, r.i, r.v*r.i/3)
			},
			"time_s, voltage_V, current_A"},
		{"days since 1900 beside a share of a register", "Record, sample time, chg_i (A), Mains (V), PWM, Output voltage (V)",
			func(r row) string {
				return f("%.0f, %.7f, %.2f, %.1f, %d, %.3f", 1+r.t/10, 46032.43+r.t/86400, r.i, 230+0.2*math.Sin(r.t), 145+int(r.ah/2), r.v)
			}, "stamp_days-1900, current_A, voltage_V"},
	} {
		t.Run(c.name, func(t *testing.T) {
			fitted, err := Fit(head(bytesOf(logOf(c.header, func(_ int, r row) string { return c.line(r) }))), Options{})
			require.NoError(t, err)
			t.Log(fitted.Setting, fitted.Evidence)
			assert.Equal(t, c.columns, fitted.Columns)
		})
	}
}

// Ticks of which nobody says how many a second has tell no time.
func TestTicksOfUnknownLength(t *testing.T) {
	ticks := func(header string) (*Fitted, error) {
		return Fit(head(bytesOf(logOf(header, func(_ int, r row) string { return fmt.Sprintf("%.0f,%.3f,%.3f", r.t*100+7, r.v, r.i) }))), Options{})
	}
	_, err := ticks("tick,V,A")
	assert.ErrorContains(t, err, "no time")
	f, err := ticks("ticks_10ms,V,A")
	require.NoError(t, err)
	assert.Equal(t, "time_10ms, voltage_V, current_A", f.Columns)
}

// A duty that rises with the charge, by one as often as a coarse clock would, stands still while
// nothing flows.
func TestADutyIsNoTime(t *testing.T) {
	for _, header := range []string{"V;A;duty", "V;A;x"} {
		_, err := Fit(head(bytesOf(logOf(header, func(_ int, r row) string {
			return fmt.Sprintf("%.3f;%.3f;%d", r.v, r.i, 100+int(math.Min(r.t-900, 12000)/120)*min(1, int(r.t)/900))
		}))), Options{})
		assert.ErrorContains(t, err, "no time", header)
	}
	_, err := Fit(head(bytesOf(logOf("V;A;SoC", func(k int, r row) string { return fmt.Sprintf("%.3f;%.3f;%d", r.v, r.i, k/20) }))), Options{})
	assert.ErrorContains(t, err, "no time", "though it goes on at every twentieth row")
}

// Energy at 1.66 V counts as much as charge would in tenths of amperes and minutes, which nobody
// uses without saying so.
func TestEnergyIsNoChargeInOddUnits(t *testing.T) {
	lines := bytesOf(logOf("x;u;i;y", func(_ int, r row) string {
		return fmt.Sprintf("%.6f;%.3f;%.3f;%.4f", r.t/3600, r.v, r.i, 1.66*r.ah)
	}))
	s := &sample{lines: lines, all: lines}
	tb := surveyColumns(s)[0]
	for _, c := range tb.cols {
		c.study('.')
	}
	tb.layout.Fields = []Field{{Quantity: Amps, Form: "A", unit: base(Amps)}}
	tm := &timing{free: true, cols: []int{0}, fields: []Field{{Quantity: Time, Form: "h"}}}
	g := guess{volts: 1, amps: 2, watts: -1}
	assert.Nil(t, tb.units(tb.cols[3], tm, g, 1.66/3600))
	assert.NotNil(t, tb.units(tb.cols[3], tm, g, 1.0/3600))
}

// Hexadecimal words of a register dump are no decimal ones, whichever digit is a letter.
func TestADumpIsNotReadAsNumbers(t *testing.T) {
	_, err := Fit(head(bytesOf(logOf("", func(_ int, r row) string {
		return fmt.Sprintf("%.0f 01 03 06 %04X %04X %04X", r.t, int(r.v*400), int(r.i*1500), int(r.celsius*10))
	}))), Options{})
	assert.Error(t, err)
}

// A date and a clock behind each other are one time: tabs separate the columns, not the blank
// between these two.
func TestATimeOverTwoColumnsIsOne(t *testing.T) {
	f, err := Fit(head(bytesOf(logOf("", func(_ int, r row) string {
		return r.at().Format("2006-01-02 15:04:05") + fmt.Sprintf("\t%.1f\t%.2f", r.i, r.v)
	}))), Options{})
	require.NoError(t, err)
	assert.Equal(t, "columns separator=tab width=3 stamp=1:y-m-d current=2:A voltage=3:V", f.Setting)
}

// A time within text is worth more than columns without any, also live.
func TestATimeWithinTextIsKept(t *testing.T) {
	var lines [][]byte
	for k := range 8 {
		lines = append(lines, fmt.Appendf(nil, "INSERT INTO log VALUES ('2025-08-30 05:45:%02d', 14.%02d, 0.0%d, 17.5);", 5*k, 10-k%2, k%2))
	}
	f, err := Fit(lines, Options{Live: true})
	require.NoError(t, err)
	assert.Contains(t, f.Columns, "stamp_y-m-d")
}
