package decoders

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// used are the amperes of an invented evening in which a battery is charged, used and charged
// again; negative is out of it.
func used(k int) float64 {
	switch {
	case k < 20 || k >= 160:
		return 0
	case k >= 70 && k < 110:
		return -1.5
	}
	return 2.25
}

// way is one of three words for what a current does.
func way(amps float64, in, out, still string) string {
	switch {
	case amps > 0:
		return in
	case amps < 0:
		return out
	}
	return still
}

// unsigned are layouts in which something else than a sign tells which way the current flows.
var unsigned = []struct {
	name, head, setting string
	line                func(t int, v, a float64) string
}{
	{"a word in a column", "time,voltage,current,status", "columns separator=comma width=4 direction=line time=1:s voltage=2:V current=3:A",
		func(t int, v, a float64) string {
			return fmt.Sprintf("%d,%.3f,%.3f,%s", t, v, math.Abs(a), way(a, "CHARGING", "DISCHARGING", "IDLE"))
		}},
	{"a word for one way only", "time,voltage,current,stage", "columns separator=comma width=4 direction=line time=1:s voltage=2:V current=3:A",
		func(t int, v, a float64) string {
			return fmt.Sprintf("%d,%.3f,%.3f,%s", t, v, math.Abs(a), way(a, "step 3", "discharge", "wait"))
		}},
	{"in another language", "Zeit;Spannung;Strom;Richtung", "columns separator=semicolon width=4 decimal=comma direction=line time=1:s voltage=2:V current=3:A",
		func(t int, v, a float64) string {
			return strings.ReplaceAll(fmt.Sprintf("%d;%.3f;%.3f;%s", t, v, math.Abs(a), way(a, "Laden", "Entladen", "Ruhe")), ".", ",")
		}},
	{"a letter", "time,voltage,current,mode", "columns separator=comma width=4 direction=4 time=1:s voltage=2:V current=3:A",
		func(t int, v, a float64) string {
			return fmt.Sprintf("%d,%.3f,%.3f,%s", t, v, math.Abs(a), way(a, "C", "D", "C"))
		}},
	{"a sign of its own", "time,voltage,current,dir", "columns separator=comma width=4 direction=4 time=1:s voltage=2:V current=3:A",
		func(t int, v, a float64) string {
			return fmt.Sprintf("%d,%.3f,%.3f,%s", t, v, math.Abs(a), way(a, "+", "-", "+"))
		}},
	{"JSON", "", "json direction=line voltage=V:V current=A:A time=t:s",
		func(t int, v, a float64) string {
			return fmt.Sprintf(`{"dir":"%s","V":%.3f,"A":%.3f,"t":%d}`, way(a, "charging", "discharging", "idle"), v, math.Abs(a), t)
		}},
	{"the label of a value", "", "labelled direction=line voltage=~V:V current=#A:A time=#1:h:m:s",
		func(t int, v, a float64) string {
			return fmt.Sprintf("%s %.3f V %.3f A %02d:%02d:%02d", way(a, "Charging", "Discharging", "Idle"), v, math.Abs(a), t/3600, t/60%60, t%60)
		}},
	{"the label of the current", "", "labelled direction=line voltage=bat:V current=~A:A time=%:h:m:s",
		func(t int, v, a float64) string {
			return fmt.Sprintf("Bat: %.2fV %s %.0fmA %d%% %dmin%ds", v, way(a, "Chg", "Dis", "---"), math.Abs(1000*a), 40+t/100, t/60, t%60)
		}},
}

func TestWayOfACurrentWithoutASign(t *testing.T) {
	for _, u := range unsigned {
		t.Run(u.name, func(t *testing.T) {
			var lines []string
			if u.head != "" {
				lines = append(lines, u.head)
			}
			for k := range 180 {
				lines = append(lines, u.line(20*k, 12.2+0.08*used(k)+0.001*float64(k), used(k)))
			}
			f, err := Fit(bytesOf(lines), Options{})
			if err != nil {
				t.Fatal(err)
			}
			if f.Setting != u.setting {
				t.Errorf("%s\nwant %s", f.Setting, u.setting)
			}
			layout, err := Parse(f.Setting)
			if err != nil {
				t.Fatal(err)
			}
			stream, err := NewStream(layout)
			if err != nil {
				t.Fatal(err)
			}
			for k, line := range lines[len(lines)-180:] {
				got, err := stream.Line([]byte(line), math.NaN(), 0)
				if err != nil || got.Amps != used(k) || got.At != float64(20*k) {
					t.Fatalf("%q: %v A at %v s, %v; want %v A", line, got.Amps, got.At, err, used(k))
				}
			}
		})
	}
}

// Words that are names, in each line, turn no current round; nor do they where it has a sign.
func TestNamesAreNoWay(t *testing.T) {
	for name, line := range map[string]func(v, a float64) string{
		"names": func(v, a float64) string {
			return fmt.Sprintf("discharge cutoff 10.5, V=%.3f A=%.3f charging limit", v, math.Abs(a))
		},
		"signed": func(v, a float64) string {
			return fmt.Sprintf("V=%.3f A=%.3f %s", v, a, way(a, "charging", "discharging", "idle"))
		},
	} {
		var lines []string
		for k := range 180 {
			lines = append(lines, line(12.2+0.08*used(k)+0.001*float64(k), used(k)))
		}
		f, err := Fit(bytesOf(lines), Options{Interval: 10})
		if err != nil {
			t.Fatal(name, err)
		}
		if f.Layout.Direction != "" {
			t.Errorf("%s: %s", name, f.Setting)
		}
	}
}

// A live source that has only been idle so far is ready for what it will say.
func TestWayIsWatchedForFromTheBeginning(t *testing.T) {
	var lines []string
	for k := range 60 {
		lines = append(lines, fmt.Sprintf(`{"state":"idle","volts":%.3f,"amps":0.000}`, 12.2+0.001*float64(k%3)))
	}
	f, err := Fit(bytesOf(lines), Options{Live: true, Span: 600})
	if err != nil {
		t.Fatal(err)
	}
	if f.Layout.Direction != anywhere {
		t.Error(f.Setting)
	}
}
