package decoders

import (
	"fmt"
	"testing"
)

// The letter that the name of a device ends in is no unit of the value behind it.
func TestALetterOfADevicesNameIsNoUnit(t *testing.T) {
	const elapsed, clock, labels = "time=%s:s voltage=#1:V current=#2:A", "clock=#1:h:m:s voltage=%s:V current=#2:A", "voltage=v:V current=a:A"
	columns := func(name string) func(k int, v, a float64) string {
		return func(k int, v, a float64) string { return fmt.Sprintf("%s %d,%.3f,%.3f", name, 20*k, v, a) }
	}
	behindTime := func(name string) func(k int, v, a float64) string {
		return func(k int, v, a float64) string {
			return fmt.Sprintf("20:%02d:%02d %s %.3f,%.3f", k/3%60, k%3*20, name, v, a)
		}
	}
	labelled := func(name string) func(k int, v, a float64) string {
		return func(_ int, v, a float64) string { return fmt.Sprintf("%s V=%.3f A=%.3f", name, v, a) }
	}
	for _, c := range []struct {
		line    func(k int, v, a float64) string
		setting string
	}{
		{columns("METER-A"), fmt.Sprintf(elapsed, "a")},
		{columns("[A]"), fmt.Sprintf(elapsed, "a")},
		{columns("A:"), fmt.Sprintf(elapsed, "a")},
		{columns("PSU-mA"), fmt.Sprintf(elapsed, "ma")},
		{behindTime("METER-A"), fmt.Sprintf(clock, "a")},
		{behindTime("BAT-Ah"), fmt.Sprintf(clock, "ah")},
		{labelled("METER-A"), labels},
		{labelled("[A]"), labels},
		{labelled("Unit_A"), labels},
		{labelled("PSU-V"), labels},
		{func(k int, v, a float64) string {
			return fmt.Sprintf("METER-A 20:%02d:%02d V=%.3f A=%.3f", k/3%60, k%3*20, v, a)
		}, "clock=meter-a:h:m:s voltage=v:V current=a@1:A"},
	} {
		lines := rowsOf(180, c.line)
		f, err := Fit(bytesOf(lines), Options{Interval: 20})
		if err != nil {
			t.Errorf("%s: %v", lines[30], err)
			continue
		}
		if got := fieldsOf(f.Layout); got != c.setting {
			t.Errorf("%s: %s\nwant %s", lines[30], got, c.setting)
		}
	}
}

// A name that says a quantity in a word, or that stands alone before the one other value, counts.
func TestANameBeforeBareValuesCounts(t *testing.T) {
	for label, kept := range map[string]bool{
		"battery voltage": true, "elapsed s": true, "t": true, "METER-A": false, "CH-V": false,
	} {
		if got := !inNameOnly(label, 2); got != kept {
			t.Errorf("%q: %v", label, got)
		}
	}
	if inNameOnly("A", 1) || !inNameOnly("A", 2) {
		t.Error("a letter alone")
	}
}
