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

// A number of the row is no time where the time between rows was stated, unless these are seconds.
func TestAStatedIntervalIsNotThatOfTheRowNumber(t *testing.T) {
	for _, c := range []struct {
		row      string
		every    int
		interval float64
		timed    bool
	}{
		{"%d,%.3f,%.3f", 1, 20, false}, {"#%d %.3f %.3f", 1, 0.25, false}, {"%d,%.3f,%.3f", 1, 1, true}, {"%d,%.3f,%.3f", 5, 20, true},
	} {
		lines := rowsOf(200, func(k int, v, a float64) string { return fmt.Sprintf(c.row, 9+c.every*k, v, a) })
		f, err := Fit(bytesOf(lines), Options{Interval: c.interval})
		if err != nil {
			t.Error(lines[0], err)
		} else if f.Layout.Timed() != c.timed || !c.timed && f.Layout.Interval != c.interval {
			t.Errorf("%s: %s", lines[0], f.Setting)
		}
	}
	lines := append([]string{"time,volts,amps"}, rowsOf(200, func(k int, v, a float64) string { return fmt.Sprintf("%d,%.3f,%.3f", k, v, a) })...)
	if f, err := Fit(bytesOf(lines), Options{Interval: 20}); err != nil || !f.Layout.Timed() {
		t.Error("what is called a time is one", err)
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

// A state of noughts and ones goes on and off with the current, but is none.
func TestFlagIsNoCurrent(t *testing.T) {
	var lines []string
	for k := range 600 {
		flag, amps := 0, 0.0
		if k > 40 && k < 100 {
			amps = -0.048
		} else if k > 120 && k < 560 {
			flag, amps = 1, 0.08
		}
		lines = append(lines, fmt.Sprintf("%06d %08.1f %06.2f %06.3f %d 0", k, 20*float64(k), 2.48+0.3*amps+0.0004*float64(k), amps, flag))
	}
	f, err := Fit(bytesOf(lines), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if want := "columns separator=blanks width=6 time=2:s voltage=3:V current=4:A"; f.Setting != want {
		t.Errorf("%s\nwant %s", f.Setting, want)
	}
}

// Of a live source, the date that is today's tells whether the month stands first.
func TestTodayTellsTheOrderOfADate(t *testing.T) {
	lines := rowsOf(60, func(k int, v, a float64) string {
		return fmt.Sprintf("07/12/26,20:%02d:%02d,%.3f,%.3f", k/3, k%3*20, v, a)
	})
	july := float64(1783888800) // 2026-07-12 20:40 UTC
	for _, c := range []struct {
		today float64
		form  string
	}{{july, formMDY}, {july + 148*day, formDMY}, {0, formDMY}} {
		f, err := Fit(bytesOf(lines), Options{Live: true, Span: 1180, Today: c.today})
		if err != nil {
			t.Fatal(err)
		}
		if want := "date=1:" + c.form; !strings.Contains(f.Setting, want) {
			t.Errorf("%v: %s\nwant %s", c.today, f.Setting, want)
		}
	}
}

// A year of two digits may stand first: midnight tells, else how long ago it would be, else today; and
// else it is asked.
func TestTwoDigitsOfAYearMayStandFirst(t *testing.T) {
	const march = float64(1773000000) // 2026-03-08
	for _, c := range []struct {
		name, before, after string // of midnight
		today               float64
		form                string
		asked               bool
	}{
		{"over midnight", "26-03-24", "26-03-25", 0, formYMD, false},
		{"a day over midnight", "26-03-24", "27-03-24", 0, formDMY, false},
		{"over the end of a year", "31/12/25", "01/01/26", 0, formDMY, false},
		{"long ago, or this year", "26/03/14", "26/03/14", 0, formYMD, true},
		{"two years ago, or this year", "26/03/24", "26/03/24", 0, formDMY, true},
		{"today", "26/03/08", "26/03/08", march, formYMD, false},
		{"with points, as no year stands first", "26.03.14", "26.03.14", 0, formDMY, false},
	} {
		f, err := Fit(bytesOf(rowsOf(60, func(k int, v, a float64) string {
			date := c.before
			if k >= 30 {
				date = c.after
			}
			minute := (1410 + k) % 1440
			return fmt.Sprintf("%s,%02d:%02d,%.3f,%.3f", date, minute/60, minute%60, v, a)
		})), Options{Today: c.today})
		if err != nil {
			t.Fatal(err)
		}
		if want := "date=1:" + c.form; !strings.Contains(f.Setting, want) {
			t.Errorf("%s: %s\nwant %s", c.name, f.Setting, want)
		}
		if asked := strings.Contains(f.Difference, "the year or the day"); asked != c.asked {
			t.Errorf("%s: it is asked: %v, of %q", c.name, asked, f.Difference)
		}
	}
}

// States that stand before the rows are no labels: what they would be read as fits few rows only.
func TestStatesBeforeRowsAreNoLabels(t *testing.T) {
	lines := rowsOf(1400, func(k int, _, _ float64) string {
		state, amps, volts := "CC", 1.8, 25.2+0.0035*float64(k)
		switch {
		case k < 41 || k > 1240:
			state, amps, volts = "Idle", 0, 24.07+0.0001*float64(k)
		case k > 1000:
			state, amps, volts = "CV", 1.8-0.007*float64(k-1000), 28.7
		}
		return fmt.Sprintf("%s %d %.3f %.3f", state, 20*k, volts+0.003*float64(k*k%5), amps)
	})
	f, err := Fit(bytesOf(lines), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if want := "columns separator=blanks width=4 time=2:s voltage=3:V current=4:A"; f.Setting != want {
		t.Errorf("%s\nwant %s", f.Setting, want)
	}
}
