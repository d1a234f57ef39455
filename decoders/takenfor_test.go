package decoders

import (
	"fmt"
	"strings"
	"testing"
)

// rowsOf are n rows of a log, of the time and of the voltage and current of a battery under charge.
func rowsOf(n int, row func(k int, v, a float64) string) []string {
	var lines []string
	for k := range n {
		amps := 0.0
		if k > 20 {
			amps = 1.5 - 0.002*float64(k)
		}
		volts := 12.2 + 0.05*amps + 0.002*float64(k) + 0.004*float64(k*k%5)
		lines = append(lines, strings.Split(row(k, volts, amps), "\n")...)
	}
	return lines
}

// A record over two lines, whose values have no names, is not read as two rows.
func TestRecordsOfTwoLinesAreRefused(t *testing.T) {
	lines := rowsOf(200, func(k int, v, a float64) string { return fmt.Sprintf("%d %.3f\n      %.3f %.1f", 20*k, v, a, 21.5) })
	f, err := Fit(bytesOf(lines), Options{Interval: 20})
	if err == nil {
		t.Fatal(f.Setting)
	}
	if !strings.Contains(err.Error(), "two lines") {
		t.Error(err)
	}
}

// Rows of two devices below a heading are refused, though the letters before the numbers might be labels.
func TestDevicesBelowAHeadingAreNoLabels(t *testing.T) {
	lines := append([]string{"time,chan,volts,amps"}, rowsOf(200, func(k int, v, a float64) string {
		return fmt.Sprintf("%d,A,%.3f,%.3f\n%d,B,%.3f,%.3f", 20*k, v, a, 20*k, 3.298+0.001*float64(k%3), 0.05)
	})...)
	f, err := Fit(bytesOf(lines), Options{})
	if err == nil {
		t.Fatal(f.Setting)
	}
	if !strings.Contains(err.Error(), "take turns") {
		t.Error(err)
	}
}

// A count without a name that goes up by one each row may be a time or not, which is said.
func TestNumberOfTheRowMayBeNoTime(t *testing.T) {
	bare := rowsOf(200, func(k int, v, a float64) string { return fmt.Sprintf("%d %.3f %.3f", k, v, a) })
	for _, c := range []struct {
		lines []string
		said  bool
	}{
		{bare, true},
		{append([]string{"t V A"}, bare...), false},
		{rowsOf(200, func(k int, v, a float64) string { return fmt.Sprintf("%d %.3f %.3f", 20*k, v, a) }), false},
	} {
		f, err := Fit(bytesOf(c.lines), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if said := strings.Contains(f.Difference, "number of the row"); said != c.said {
			t.Errorf("%q, %q: %q", c.lines[0], c.lines[1], f.Difference)
		}
	}
}

// The name of the program before a value's own is not the value's: I/charger, as phones log.
func TestTagBeforeALabel(t *testing.T) {
	lines := rowsOf(200, func(k int, v, a float64) string {
		return fmt.Sprintf("07-28 01:%02d:%02d.001 I/charger: v=%.3f i=%.3f", k/3%60, k%3*20, v/5, a)
	})
	f, err := Fit(bytesOf(lines), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if want := "labelled clock=#3:h:m:s voltage=v:V current=i:A"; f.Setting != want {
		t.Errorf("%s\nwant %s", f.Setting, want)
	}
}
