package decoders

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	threeColumns = "time=1:s voltage=2:V current=3:A"
	fourColumns  = threeColumns + " temperature=4:C"
)

// openFields are the columns of the open logs as the list that comes with them states
// them: time in s, voltage in V, current in A into the battery, and a temperature in
// degrees Celsius where the source has one.
var openFields = map[string]string{
	"lfp08_k2_hppc_raw_overflow.csv":       fourColumns,
	"li01_nasa_B0025_c13_24C.csv":          fourColumns,
	"li06_nasa_B0049_c9_aborted_nan.csv":   fourColumns,
	"li08_nasa_B0050_c33_fault.csv":        fourColumns,
	"li09_nasa_B0052_c12_open_circuit.csv": fourColumns,
	"li10_nasa_B0041_c162_nan57.csv":       fourColumns,
	"li14_pan_25C_charge_rest.csv":         fourColumns,
	"li19_pan_m10C_charge_gap7200s.csv":    fourColumns,
	"li20_pan_full_topup_21s.csv":          fourColumns,
	"li36_leaf_charge_10A_rest1h.csv":      threeColumns,
	"li37_leaf_hppc_pulses.csv":            threeColumns,
	"li39_30q_A_cycle10.csv":               fourColumns,
	"pb03_17ah_charge_1.csv":               threeColumns,
	"pb06_17ah_charge_4.csv":               threeColumns,
	"pb09_17ah_charge_1_interleaved.csv":   fourColumns,
	"pb10_17ah_discharge_3A_rest.csv":      threeColumns,
}

// madeUpFields are those of the made-up nights, read off their first rows by hand.
var madeUpFields = map[string]string{
	"car-flat.log":              threeColumns,
	"car-noisy.log":             threeColumns,
	"car-partial.log":           threeColumns,
	"car-power-failure.log":     threeColumns,
	"caravan-minute-rows.log":   "clock=1:h:m:s voltage=2:V current=3:A",
	"caravan-pauses.log":        "stamp=1:y-m-d voltage=2:V current=3:A",
	"caravan-power-limited.log": threeColumns,
	"drill-missing-rows.log":    threeColumns,
	"drill-three-cells.log":     fourColumns,
	"lantern-peak.log":          fourColumns,
	"mower-coarse-meter.log":    "time=t:s voltage=v:V current=a:A",
	"mower-float.log":           "stamp=1:y-m-d voltage=2:V current=3:A",
	"mower-full.log":            "clock=1:h:m:s voltage=2:V current=3:A",
	"mower-two-hour-timer.log":  "time=t:s voltage=v:V current=a:A",
	"outboard-plateau.log":      "time=time_s:s voltage=voltage_V:V current=current_A:A",
	"outboard-two-charges.log":  threeColumns,
	"torch-one-cell.log":        "time=1:s voltage=2:mV current=3:mA",
}

// fieldsOf are a layout's fields alone, as a setting writes them.
func fieldsOf(l *Layout) string {
	alone := Layout{Fields: l.Fields}
	return alone.String()[1:]
}

// Every field of every log is named, with its unit and sign, and no other is.
func TestEveryFieldOfEveryLogIsNamed(t *testing.T) {
	check := func(t *testing.T, names []string, fields map[string]string) {
		require.Len(t, names, len(fields), "a log is missing, or its fields in the table here")
		for _, name := range names {
			want, known := fields[filepath.Base(name)]
			require.True(t, known, name)
			f, err := Fit(head(linesOf(t, name)), Options{})
			require.NoError(t, err, name)
			assert.Equal(t, want, fieldsOf(f.Layout), name)
			assert.Greater(t, f.Confidence, 0.9, name)
			assert.Empty(t, f.Difference, name)
		}
	}
	t.Run("made up", func(t *testing.T) {
		names, err := filepath.Glob("../testdata/*.log")
		require.NoError(t, err)
		check(t, names, madeUpFields)
	})
	t.Run("open", func(t *testing.T) { check(t, openLogs(t), openFields) })
}

// BenchmarkFitLogs finds the layout of each log from as many lines as identify takes.
func BenchmarkFitLogs(b *testing.B) {
	madeUp, err := filepath.Glob("../testdata/*.log")
	require.NoError(b, err)
	for _, name := range append(madeUp, openLogs(b)...) {
		lines := head(linesOf(b, name))
		b.Run(filepath.Base(name), func(b *testing.B) {
			for b.Loop() {
				if _, err := Fit(lines, Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
