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

// Hexadecimal words of a register dump are no decimal ones, whichever digit is a letter.
func TestADumpIsNotReadAsNumbers(t *testing.T) {
	_, err := Fit(head(bytesOf(logOf("", func(_ int, r row) string {
		return fmt.Sprintf("%.0f 01 03 06 %04X %04X %04X", r.t, int(r.v*400), int(r.i*1500), int(r.celsius*10))
	}))), Options{})
	assert.Error(t, err)
}
