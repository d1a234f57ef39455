package decoders

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// Labels and values with something between, around or behind them that is no part of them.
func TestWhatStandsAroundLabels(t *testing.T) {
	type row struct {
		t    int
		v, a float64
	}
	for _, c := range []struct {
		name, setting string
		line          func(r row) string
	}{
		{"numbers in brackets", "labelled voltage=batt:V current=curr:A time=ms:ms",
			func(r row) string { return fmt.Sprintf("BATT[0]=%.3f CURR[0]=%.3f ms=%d", r.v, r.a, 1000*r.t) }},
		{"dots that lead to the value", "labelled pair=yes voltage=voltage:V current=current:A time=elapsed:h:m:s",
			func(r row) string {
				return fmt.Sprintf("Battery Voltage ......... %.3f V\nBattery Current ......... %.3f A\nElapsed ................. %02d:%02d:%02d", r.v, r.a, r.t/3600, r.t/60%60, r.t%60)
			}},
		{"a time in words", "labelled voltage=voltage:V current=current:A time=for:h:m:s",
			func(r row) string {
				return fmt.Sprintf("Voltage : %.3f V ; Current : %.3f A ; for : %d h %02d min %02d s", r.v, r.a, r.t/3600, r.t/60%60, r.t%60)
			}},
		{"lines of a display, whose units alone tell what they are", "labelled pair=yes clock=#1:h:m:s voltage=~V:V current=~A:A",
			func(r row) string {
				at := time.Date(2026, 3, 14, 20, 40, r.t, 0, time.UTC).Format("15:04:05")
				return fmt.Sprintf("%s DC %.3f V\n%s DC %.3f A", at, r.v, at, r.a)
			}},
		{"a unit that might be a checksum", "labelled decimal=comma checksum=none time=#1:h:m:s voltage=u:V current=i:A",
			func(r row) string {
				return strings.ReplaceAll(fmt.Sprintf("<%02d:%02d:%02d> U %.2fV I %.3fA", r.t/3600, r.t/60%60, r.t%60, r.v, r.a), ".", ",")
			}},
	} {
		var lines []string
		for k := range 200 {
			amps := 0.0
			if k > 30 {
				amps = 0.3
			}
			lines = append(lines, strings.Split(c.line(row{20 * k, 12.2 + 0.3*amps + 0.002*float64(k), amps}), "\n")...)
		}
		f, err := Fit(bytesOf(lines), Options{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if f.Setting != c.setting {
			t.Errorf("%s: %s\nwant %s", c.name, f.Setting, c.setting)
		}
	}
}

// Hexadecimal values are refused, and are not all nought.
func TestLabelledHexadecimalIsNoNought(t *testing.T) {
	var lines []string
	for k := range 200 {
		lines = append(lines, fmt.Sprintf("V=0x%04x I=0x%04x t=%d", 12000+k, 2000-k, 20*k))
	}
	if f, err := Fit(bytesOf(lines), Options{}); err == nil {
		t.Error(f.Setting)
	}
}
