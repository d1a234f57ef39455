package decoders

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// row is one reading of a made-up night.
type row struct {
	t, v, i, celsius, ah float64
}

// madeUpNight is a 12 V battery: 15 min at rest, charged at 3.5 A from 12.2 V
// to 14.4 V, held there until the current is 0.2 A, then an hour of rest.
// Rows stand every 10 s; a millivolt of noise that repeats.
func madeUpNight() []row {
	var rows []row
	ah, i, v := 0.0, 0.0, 12.20
	held := 0.0
	for k := 0; k < 2520; k++ {
		t := float64(k) * 10
		switch {
		case t < 900:
			i, v = 0, 12.20
		case held == 0:
			i = 3.5
			if v < 12.4 {
				v = 12.55
			}
			if v += 0.00165; v >= 14.4 {
				held = t
			}
		case t < held+9000:
			v, i = 14.4, 3.5*math.Exp(-(t-held)/3000)
		default:
			i, v = 0, 13.0+1.1*math.Exp(-(t-held-9000)/1200)
		}
		ah += i * 10 / 3600
		noise := 0.001 * math.Sin(float64(k)*1.7)
		rows = append(rows, row{t, v + noise, i, 18 + 6*math.Sin(t/15000), ah})
	}
	return rows
}

// start is a winter evening: the night runs over midnight.
var start = time.Date(2026, 1, 14, 21, 40, 0, 0, time.UTC)

func (r row) at() time.Time { return start.Add(time.Duration(r.t * float64(time.Second))) }

// comma writes numbers with a decimal comma.
func comma(format string, args ...any) string {
	return strings.ReplaceAll(fmt.Sprintf(format, args...), ".", ",")
}

// thousands writes whole numbers with a mark between groups of three digits.
func thousands(mark, format string, numbers ...float64) string {
	var texts []any
	for _, x := range numbers {
		text := fmt.Sprintf("%.0f", math.Abs(x))
		for k := len(text) - 3; k > 0; k -= 3 {
			text = text[:k] + mark + text[k:]
		}
		if x <= -0.5 {
			text = "-" + text
		}
		texts = append(texts, text)
	}
	return fmt.Sprintf(format, texts...)
}

// logOf writes the night in one layout.
func logOf(header string, line func(k int, r row) string) []string {
	var out []string
	if header != "" {
		out = strings.Split(header, "\n")
	}
	for k, r := range madeUpNight() {
		if l := line(k, r); l != "" {
			out = append(out, strings.Split(l, "\n")...)
		}
	}
	return out
}

func withXor(s string) string {
	return fmt.Sprintf("$%s*%02X", s, xor8([]byte(s)))
}

func bytesOf(lines []string) [][]byte {
	out := make([][]byte, len(lines))
	for i, l := range lines {
		out[i] = []byte(l)
	}
	return out
}

// layoutCase is one way to write the night.
type layoutCase struct {
	name   string
	header string
	line   func(k int, r row) string
	opt    Options
	live   bool    // lines are stamped on arrival, one every 10 s
	kind   string  // decoder that must be chosen
	charge float64 // Ah that must come out, 0 for the night's own
}

func layouts() []layoutCase {
	f := fmt.Sprintf
	return []layoutCase{
		{name: "plain", kind: "columns", header: "time_s,voltage_V,current_A,temperature_C",
			line: func(_ int, r row) string { return f("%.1f,%.4f,%.4f,%.1f", r.t, r.v, r.i, r.celsius) }},
		{name: "no header", kind: "columns",
			line: func(_ int, r row) string { return f("%.1f,%.4f,%.4f", r.t, r.v, r.i) }},
		{name: "no header, temperature", kind: "columns",
			line: func(_ int, r row) string { return f("%.1f,%.4f,%.4f,%.1f", r.t, r.v, r.i, r.celsius) }},
		{name: "current first", kind: "columns",
			line: func(_ int, r row) string { return f("%.3f %.3f %.1f", r.i, r.v, r.t) }},
		{name: "milli-units without names", kind: "columns",
			line: func(_ int, r row) string { return f("%.0f;%.0f;%.0f", r.t*1000, r.v*1000, r.i*1000) }},
		{name: "milli-units named", kind: "columns", header: "t(ms)\tU(mV)\tI(mA)",
			line: func(_ int, r row) string { return f("%.0f\t%.0f\t%.0f", r.t*1000, r.v*1000, r.i*1000) }},
		{name: "german", kind: "columns", header: "Zeit [min];Spannung [V];Strom [A];Temperatur [°C]",
			line: func(_ int, r row) string { return comma("%.4f;%.3f;%.3f;%.1f", r.t/60, r.v, r.i, r.celsius) }},
		{name: "french", kind: "columns", header: "Temps (h);Tension (V);Courant (mA);Température",
			line: func(_ int, r row) string { return comma("%.6f;%.3f;%.1f;%.1f", r.t/3600, r.v, r.i*1000, r.celsius) }},
		{name: "spanish", kind: "columns", header: "Tiempo\tTensión\tCorriente\tCarga (Ah)",
			line: func(_ int, r row) string { return f("%.1f\t%.3f\t%.3f\t%.4f", r.t, r.v, r.i, r.ah) }},
		{name: "decimal comma, no header", kind: "columns",
			line: func(_ int, r row) string { return comma("%.1f;%.3f;%.3f", r.t, r.v, r.i) }},
		{name: "decimal comma, blanks", kind: "columns",
			line: func(_ int, r row) string { return comma("%9.1f %8.3f %8.3f", r.t, r.v, r.i) }},
		{name: "quoted decimal comma between commas", kind: "columns", header: `"Time","Voltage","Current"`,
			line: func(_ int, r row) string {
				return `"` + comma("%.1f", r.t) + `","` + comma("%.3f", r.v) + `","` + comma("%.3f", r.i) + `"`
			}},
		{name: "fixed width", kind: "columns", header: "   Time     Volt      Amp",
			line: func(_ int, r row) string { return f("%8.1f %8.3f %8.3f", r.t, r.v, r.i) }},
		{name: "header with units apart", kind: "columns", header: "Time [s]  Voltage [V]  Current [mA]",
			line: func(_ int, r row) string { return f("%8.1f    %8.3f   %8.1f", r.t, r.v, r.i*1000) }},
		{name: "units on a line of their own", kind: "columns", header: "Time,Voltage,Current\ns,mV,mA",
			line: func(_ int, r row) string { return f("%.1f,%.0f,%.0f", r.t, r.v*1000, r.i*1000) }},
		{name: "minutes without name", kind: "columns",
			line: func(_ int, r row) string { return f("%.4f,%.3f,%.3f", r.t/60, r.v, r.i) }},
		{name: "hours without name", kind: "columns",
			line: func(_ int, r row) string { return f("%.6f,%.3f,%.3f", r.t/3600, r.v, r.i) }},
		{name: "clock over midnight", kind: "columns", header: "Time,Voltage,Current",
			line: func(_ int, r row) string { return f("%s,%.3f,%.3f", r.at().Format("15:04:05"), r.v, r.i) }},
		{name: "clock with halves of the day", kind: "columns", header: "Time,Voltage,Current",
			line: func(_ int, r row) string { return f("%s,%.3f,%.3f", r.at().Format("3:04:05 PM"), r.v, r.i) }},
		{name: "elapsed h:mm:ss", kind: "columns", header: "Elapsed,V,A",
			line: func(_ int, r row) string {
				return f("%d:%02d:%02d,%.3f,%.3f", int(r.t)/3600, int(r.t)/60%60, int(r.t)%60, r.v, r.i)
			}},
		{name: "minutes and seconds", kind: "columns",
			line: func(_ int, r row) string { return f("%02d:%02d.0,%.3f,%.3f", int(r.t)/60, int(r.t)%60, r.v, r.i) }},
		{name: "day first", kind: "columns", header: "Datum;Uhrzeit;U/V;I/A",
			line: func(_ int, r row) string { return r.at().Format("02.01.2006;15:04:05;") + comma("%.3f;%.3f", r.v, r.i) }},
		{name: "month first in one column", kind: "columns", header: "Date,V,I",
			line: func(_ int, r row) string { return r.at().Format("01/02/2006 15:04:05") + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "date and clock between blanks", kind: "columns",
			line: func(_ int, r row) string { return r.at().Format("2006-01-02 15:04:05") + f(" %.3f %.3f", r.v, r.i) }},
		{name: "RFC 3339", kind: "columns", header: "timestamp,volts,amps",
			line: func(_ int, r row) string { return r.at().Format(time.RFC3339) + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "Unix time", kind: "columns",
			line: func(_ int, r row) string { return f("%d,%.3f,%.3f", r.at().Unix(), r.v, r.i) }},
		{name: "Unix milliseconds", kind: "columns", header: "ts|u|i",
			line: func(_ int, r row) string { return f("%d|%.3f|%.3f", r.at().UnixMilli(), r.v, r.i) }},
		{name: "days since 1900", kind: "columns", header: "Time,V,A",
			line: func(_ int, r row) string { return f("%.8f,%.3f,%.3f", 46036+r.t/86400, r.v, r.i) }},
		{name: "row number and time", kind: "columns",
			line: func(k int, r row) string { return f("%d,%.1f,%.3f,%.3f", k+1, r.t, r.v, r.i) }},
		{name: "row number and clock", kind: "columns", header: "No,Clock,V,A",
			line: func(k int, r row) string { return f("%d,%s,%.3f,%.3f", k+1, r.at().Format("15:04:05"), r.v, r.i) }},
		{name: "power first", kind: "columns",
			line: func(_ int, r row) string { return f("%.3f,%.3f,%.3f,%.1f", r.v*r.i, r.i, r.v, r.t) }},
		{name: "power, counter and energy", kind: "columns", header: "s,W,Ah,Wh,A,V",
			line: func(_ int, r row) string {
				return f("%.0f,%.3f,%.4f,%.3f,%.3f,%.3f", r.t, r.v*r.i, r.ah, r.ah*13.5, r.i, r.v)
			}},
		{name: "counter without names", kind: "columns",
			line: func(_ int, r row) string { return f("%.0f,%.1f,%.0f,%.0f", r.t, r.ah*1000, r.i*1000, r.v*1000) }},
		{name: "engineering notation", kind: "columns",
			line: func(_ int, r row) string { return f("%+.8E,%+.8E,%+.8E", r.t, r.v, r.i) }},
		{name: "overload words", kind: "columns", header: "time,volts,amps",
			line: func(k int, r row) string {
				switch k % 50 {
				case 7:
					return f("%.0f,OL,%.3f", r.t, r.i)
				case 8:
					return f("%.0f,9.9E37,%.3f", r.t, r.i)
				case 9:
					return f("%.0f,%.3f,3.4e38", r.t, r.v)
				}
				return f("%.0f,%.3f,%.3f", r.t, r.v, r.i)
			}},
		{name: "negative while charging", kind: "columns", header: "time,V,A",
			line: func(_ int, r row) string { return f("%.0f,%.3f,%.3f", r.t, r.v, -r.i) }},
		{name: "negative without names", kind: "columns",
			line: func(_ int, r row) string { return f("%.0f,%.0f,%.3f", r.t, -1000*r.i, r.v) }},
		{name: "labels", kind: "labelled",
			line: func(_ int, r row) string { return f("t=%.0fs V=%.2fV I=%.0fmA", r.t, r.v, r.i*1000) }},
		{name: "labels with words between", kind: "labelled",
			line: func(_ int, r row) string {
				return f("%s Battery voltage: %.3f V, charging current %.3f A at %.1f C", r.at().Format("15:04:05"), r.v, r.i, r.celsius)
			}},
		{name: "units only", kind: "labelled",
			line: func(_ int, r row) string {
				return f("[%s] %.3fV %.3fA %.1fC", r.at().Format("15:04:05"), r.v, r.i, r.celsius)
			}},
		{name: "units apart only", kind: "labelled",
			line: func(_ int, r row) string { return f("%.0f s  %.3f V  %.3f A", r.t, r.v, r.i) }},
		{name: "labels before, no units", kind: "labelled",
			line: func(_ int, r row) string { return f("T %.0f V %.3f A %.3f", r.t, r.v, r.i) }},
		{name: "labels with decimal comma", kind: "labelled",
			line: func(_ int, r row) string { return comma("t: %.0f s; U: %.3f V; I: %.3f A", r.t, r.v, r.i) }},
		{name: "units change with the range", kind: "labelled",
			line: func(_ int, r row) string {
				if r.i < 1 {
					return f("t=%.0f U=%.3fV I=%.1fmA", r.t, r.v, r.i*1000)
				}
				return f("t=%.0f U=%.3fV I=%.4fA", r.t, r.v, r.i)
			}},
		{name: "JSON", kind: "json",
			line: func(_ int, r row) string { return f(`{"time":%.1f,"voltage":%.3f,"current":%.3f}`, r.t, r.v, r.i) }},
		{name: "nested JSON", kind: "json",
			line: func(k int, r row) string {
				return f(`{"seq":%d,"ts":%q,"battery":{"volts":%.3f,"amps":%.3f,"cells":[%.3f,%.3f]},"temp":%.1f}`,
					k, r.at().Format(time.RFC3339), r.v, r.i, r.v/2, r.v/2, r.celsius)
			}},
		{name: "JSON in milli-units", kind: "json",
			line: func(_ int, r row) string {
				return f(`{"millis":%.0f,"voltage_mV":%.0f,"current_mA":%.0f}`, r.t*1000, r.v*1000, r.i*1000)
			}},
		{name: "noise after the header", kind: "columns", header: "current,voltage,time\nready\n\n3 2 1",
			line: func(_ int, r row) string { return f("%.3f,%.3f,%.0f", r.i, r.v, r.t) }},
		{name: "noise between", kind: "columns", header: "Logger 1.2 ready\n\n> log on\ntime;volt;amp",
			line: func(k int, r row) string {
				noise := ""
				switch k % 4 {
				case 0:
					noise = "\n# 3 files free, 12 errors\n"
				case 1:
					noise = "time;volt;amp\n"
				case 2:
					noise = "> \nMenu: 1) log 2) stop 3) help\n"
				}
				return noise + f("%.0f;%.3f;%.3f", r.t, r.v, r.i)
			}},
		{name: "start mark and xor", kind: "columns",
			line: func(_ int, r row) string { return withXor(f("%.0f,%.3f,%.3f", r.t, r.v, r.i)) }},
		{name: "labels with xor", kind: "labelled",
			line: func(_ int, r row) string { return withXor(f("V=%.2f A=%.3f T=%.0f", r.v, r.i, r.t)) }},
		{name: "marks and unknown tail", kind: "columns",
			line: func(k int, r row) string { return f("<%.0f;%.3f;%.3f*%04X>", r.t, r.v, r.i, k*7919&0xffff) }},
		{name: "crc as last column", kind: "columns",
			line: func(_ int, r row) string {
				s := f("%.0f,%.3f,%.3f", r.t, r.v, r.i)
				return s + f(",%04X", crcLow([]byte(s), 0xa001, 0xffff))
			}},
		{name: "alternate lines", kind: "labelled",
			line: func(_ int, r row) string { return f("%.0f s U=%.3f V\n%.0f s I=%.3f A", r.t, r.v, r.t+1, r.i) }},
		{name: "alternate lines, live", kind: "labelled", live: true,
			line: func(_ int, r row) string { return f("VOLT %.3f\nCURR %.3f", r.v, r.i) }},
		{name: "a time line, then a line each", kind: "labelled",
			line: func(_ int, r row) string {
				return f("--- %s ---\nVoltage: %.3f V\nCurrent: %.3f A\n", r.at().Format("15:04:05"), r.v, r.i)
			}},
		{name: "no time, a counter of charge tells it", kind: "columns",
			line: func(_ int, r row) string { return f("%.3f;%.3f;%.3f", r.v, r.i, r.ah) }},
		{name: "number of the row, milli-units, a counter, no names", kind: "columns",
			line: func(k int, r row) string {
				return f("%d,%.0f,%.2f,%.0f,%.0f", k, r.t, r.v, r.i*1000, r.ah*1000)
			}},
		{name: "names beside the values", kind: "json",
			line: func(_ int, r row) string {
				return f(`{"t":%.0f,"all":[{"name":"voltage","value":"%.3f"},{"name":"current","value":%.0f,"unit":"mA"}]}`, r.t, r.v, r.i*1000)
			}},
		{name: "bare pairs, interval in a comment", kind: "columns", header: "# interval: 10 s",
			line: func(_ int, r row) string { return f("%.3f %.3f", r.v, r.i) }},
		{name: "bare pairs, interval given", kind: "columns", opt: Options{Interval: 10},
			line: func(_ int, r row) string { return f("%.3f,%.3f", r.i, r.v) }},
		{name: "bare pairs, live", kind: "columns", live: true, opt: Options{Live: true},
			line: func(_ int, r row) string { return f("%.3f\t%.3f", r.v, r.i) }},
		{name: "Latin-1 names", kind: "columns", header: "Zeit/s;Spannung/V;Strom/A;Temp/\xb0C",
			line: func(_ int, r row) string { return comma("%.0f;%.3f;%.3f;%.1f", r.t, r.v, r.i, r.celsius) }},
		{name: "mark of UTF-8", kind: "columns", header: "\xef\xbb\xbftime,current,voltage",
			line: func(_ int, r row) string { return f("%.0f,%.3f,%.3f", r.t, r.i, r.v) }},
		{name: "settings beside", kind: "columns", header: "time,set voltage,voltage,set current,current",
			line: func(_ int, r row) string { return f("%.0f,14.400,%.3f,3.500,%.3f", r.t, r.v, r.i) }},
		{name: "unit in every cell", kind: "labelled",
			line: func(_ int, r row) string { return f("%.0fs,%.3fV,%.1fmA", r.t, r.v, r.i*1000) }},
		{name: "mostly noise", kind: "columns", header: "boot 3 ok",
			line: func(k int, r row) string {
				return f("[%d] heap 20480 free, task %d idle\nstatus: ok\n\n-----\nwifi rssi -61 dBm\n(c) 2024 logger v1.3\n%.0f,%.3f,%.3f", k, k%7, r.t, r.v, r.i)
			}},
		{name: "labels among noise", kind: "labelled",
			line: func(k int, r row) string {
				return f("cmd> help 1 2 3\nfree=20480 up=%d\nBAT %.3f V %.3f A\n", int(r.t), r.v, r.i)
			}, opt: Options{Interval: 10}},
		{name: "fixed width with holes", kind: "columns", header: "    Time    Volt     Amp    Temp",
			line: func(k int, r row) string {
				switch k % 5 {
				case 1:
					return f("%8.1f%8.3f%8.3f", r.t, r.v, r.i)
				case 2:
					return f("%8.1f                %8.1f", r.t, r.celsius)
				case 3:
					if k%10 == 3 {
						return f("%8.1f%8.3f        %8.1f", r.t, r.v, r.celsius)
					}
				}
				return f("%8.1f%8.3f%8.3f%8.1f", r.t, r.v, r.i, r.celsius)
			}},
		{name: "alternate lines in columns", kind: "labelled",
			line: func(_ int, r row) string { return f("%.1f,V,%.3f\n%.1f,I,%.3f", r.t, r.v, r.t+0.5, r.i) }},
		{name: "alternate cells", kind: "columns", header: "time,volt,amp",
			line: func(_ int, r row) string { return f("%.1f,%.3f,\n%.1f,,%.3f", r.t, r.v, r.t+0.5, r.i) }},
		{name: "clock over the end of summer time", kind: "columns", header: "date;time;V;A",
			line: func(_ int, r row) string {
				return summer(r, time.Date(2025, 10, 26, 0, 0, 0, 0, time.UTC)).Format("02.01.2006;15:04:05") + f(";%.3f;%.3f", r.v, r.i)
			}},
		{name: "clock over the beginning of summer time", kind: "columns", header: "date;time;V;A",
			line: func(_ int, r row) string {
				return summer(r, time.Date(2025, 3, 30, 0, 0, 0, 0, time.UTC)).Format("02.01.2006;15:04:05") + f(";%.3f;%.3f", r.v, r.i)
			}},
		{name: "stamp and elapsed", kind: "columns", header: "Timestamp,Elapsed(s),Current(A),Voltage(V)",
			line: func(_ int, r row) string {
				return r.at().Format("2006-01-02 15:04") + f(",%.0f,%.3f,%.3f", r.t, r.i, r.v)
			}},
		{name: "four cells beside", kind: "columns",
			line: func(k int, r row) string {
				return f("%.0f %.3f %.4f %.4f %.4f %.4f %.3f %.1f", r.t, r.v, r.v/4+0.001, r.v/4, r.v/4-0.002, r.v/4+0.003, r.i, r.celsius)
			}},
		{name: "charge counter proves minutes", kind: "columns",
			line: func(_ int, r row) string { return f("%.5f,%.4f,%.3f,%.3f", r.t/60, r.ah, r.v, r.i) }},
		{name: "current in milliampere small", kind: "columns",
			line: func(_ int, r row) string { return f("%.0f\t%.3f\t%.0f\t%.1f", r.t, r.v, r.i*1000, r.ah*1000) }},
		{name: "arrow between", kind: "labelled",
			line: func(_ int, r row) string {
				return f("%s -> Vbat=%.3f Ibat=%.3f state=CHG", r.at().Format("2006-01-02T15:04:05.000Z"), r.v, r.i)
			}},
		{name: "blank after the equals sign", kind: "labelled",
			line: func(_ int, r row) string { return f("TIME = %.0f ; VOLTAGE = %.3f ; CURRENT = %.3f", r.t, r.v, r.i) }},
		{name: "JSON with strings", kind: "json",
			line: func(_ int, r row) string {
				return f(`{"device":"a1","t":"%.0f","u":"%.3f V","i":"%.1f mA"}`, r.t, r.v, r.i*1000)
			}},
		{name: "JSON in a list", kind: "json",
			line: func(_ int, r row) string { return f(`[%.0f,{"v":%.3f,"a":%.3f}]`, r.t, r.v, r.i) }},
		{name: "JSON time in ms", kind: "json",
			line: func(_ int, r row) string {
				return f(`{"t":%d,"data":{"bus_mV":%.0f,"shunt":{"current_mA":%.1f}}}`, r.at().UnixMilli(), r.v*1000, r.i*1000)
			}},
		{name: "sum over the line", kind: "labelled",
			line: func(_ int, r row) string {
				s := f("U=%.3f;I=%.3f;t=%.0f", r.v, r.i, r.t)
				return f("<%s;%02X>", s, sum([]byte(s))&0xff)
			}},
		{name: "crc with marks", kind: "columns",
			line: func(_ int, r row) string {
				s := f("%.0f,%.3f,%.3f", r.t, r.v, r.i)
				return f("#%s*%04X", s, crcHigh([]byte(s), 16, 0x1021, 0xffff))
			}},
		{name: "trailing separator", kind: "columns", header: "time;volt;amp;",
			line: func(_ int, r row) string { return comma("%.0f;%.3f;%.3f;", r.t, r.v, r.i) }},
		{name: "comment marks before the header", kind: "columns", header: "# charge log\n# time/s voltage/V current/A",
			line: func(_ int, r row) string { return f("%.0f %.3f %.3f", r.t, r.v, r.i) }},
		{name: "single cell", kind: "columns",
			line: func(_ int, r row) string { return f("%.0f,%.1f,%.4f,%.4f", r.t, r.celsius, r.i/2, r.v) }, charge: 0.5},
		{name: "every number with its sign", kind: "columns",
			line: func(_ int, r row) string { return f("%+.2f\t%+.3f\t%+.3f", r.t, r.v, r.i) }},
		{name: "month by name", kind: "columns", header: "when,U,I",
			line: func(_ int, r row) string { return r.at().Format("02-Jan-2006 15:04:05") + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "two digits of the year", kind: "columns",
			line: func(_ int, r row) string { return r.at().Format("02.01.06 15:04:05") + f(" %.3f %.3f", r.v, r.i) }},
		{name: "clock with parts of seconds", kind: "labelled",
			line: func(_ int, r row) string { return r.at().Format("15:04:05.000") + f("  %.3fV  %.3fA", r.v, r.i) }},
		{name: "interval in words", kind: "labelled", header: "Sampling every 10 seconds",
			line: func(_ int, r row) string { return f("%.3fV %.3fA", r.v, r.i) }},
		{name: "rate in hertz", kind: "columns", header: "rate: 0.1 Hz\nvolt,amp",
			line: func(_ int, r row) string { return f("%.3f,%.3f", r.v, r.i) }},
		{name: "current from power", kind: "columns", header: "time_s,voltage_V,power_W",
			line: func(_ int, r row) string { return f("%.0f,%.3f,%.4f", r.t, r.v, r.v*r.i) }},
		{name: "german labels", kind: "labelled",
			line: func(_ int, r row) string {
				return comma("Spannung: %.3f V  Strom: %.3f A  Zeit: ", r.v, r.i) + f("%d:%02d:%02d", int(r.t)/3600, int(r.t)/60%60, int(r.t)%60)
			}},
		{name: "JSON on alternate lines", kind: "json", live: true,
			line: func(_ int, r row) string { return f(`{"voltage":%.3f}`+"\n"+`{"current":%.3f}`, r.v, r.i) }},
		{name: "word before the data", kind: "columns", header: "INFO,boot,3,ok",
			line: func(k int, r row) string { return f("DATA,%.1f,%.3f,%.3f\nINFO,free,%d", r.t, r.v, r.i, k%9) }},
		{name: "word after the data", kind: "columns",
			line: func(k int, r row) string {
				return f("%.1f,%.3f,%.3f,%s", r.t, r.v, r.i, []string{"CC", "CV", "idle"}[k%3])
			}},
		{name: "many units", kind: "labelled",
			line: func(_ int, r row) string {
				return f("%.2fV,%.3fA,%.2fW,%.3fAh,%.0fC,%s", r.v, r.i, r.v*r.i, r.ah, r.celsius, r.at().Format("15:04:05"))
			}},
		{name: "blanks after the separator", kind: "columns", header: "time; U; I",
			line: func(_ int, r row) string { return f("%.0f; %.3f; %.3f", r.t, r.v, r.i) }},
		{name: "table with bars around", kind: "columns", header: "| time | volt | amp |\n|------|------|-----|",
			line: func(_ int, r row) string { return f("| %.0f | %.3f | %.3f |", r.t, r.v, r.i) }},
		{name: "direct current in words", kind: "labelled", live: true,
			line: func(_ int, r row) string { return f("%+.3f V DC, %+.3f A DC", r.v, r.i) }},
		{name: "labels in milli-units unnamed", kind: "labelled",
			line: func(_ int, r row) string { return f("V:%.0f I:%.0f T:%.0f", r.v*1000, r.i*1000, r.t) }},
		{name: "stamp in brackets before columns", kind: "labelled",
			line: func(_ int, r row) string { return r.at().Format("[2006-01-02 15:04:05] ") + f("%.3fV,%.3fA", r.v, r.i) }},
		{name: "alternate with a clock", kind: "labelled",
			line: func(_ int, r row) string {
				return r.at().Format("15:04:05") + f(" U %.3f\n", r.v) + r.at().Add(time.Second).Format("15:04:05") + f(" I %.3f", r.i)
			}},
		{name: "log of a program", kind: "labelled",
			line: func(_ int, r row) string {
				return r.at().Format("15:04:05.000") + f(" INFO meter: U=%.3fV I=%.3fA P=%.2fW", r.v, r.i, r.v*r.i)
			}},
		{name: "control characters as marks", kind: "columns",
			line: func(_ int, r row) string {
				s := f("%.0f,%.3f,%.3f", r.t, r.v, r.i)
				return f("\x02%s\x03%02X", s, xor8([]byte(s)))
			}},
		{name: "elapsed with a plus", kind: "labelled",
			line: func(_ int, r row) string {
				return f("T+%d:%02d:%02d %.3fV %.3fA", int(r.t)/3600, int(r.t)/60%60, int(r.t)%60, r.v, r.i)
			}},
		{name: "interval by a sign", kind: "columns", header: "# dt=10",
			line: func(_ int, r row) string { return f("%.3f %.3f", r.i, r.v) }},
		{name: "discharge named positive", kind: "columns", header: "t/s,U/V,I/A",
			line: func(_ int, r row) string { return f("%.0f,%.2f,%.2f", r.t, r.v, -r.i) }},
		{name: "coarse numbers", kind: "columns",
			line: func(_ int, r row) string { return f("%.0f %.2f %.2f", r.t, r.v, r.i) }},
		{name: "prompt before the data", kind: "columns",
			line: func(_ int, r row) string { return f("> %.0f,%.3f,%.3f", r.t, r.v, r.i) }},
		{name: "marks and two digits at the end", kind: "columns",
			line: func(_ int, r row) string { return f("$%.0f,%.3f,%.3f,%.0f", r.t, r.v, r.i, r.celsius) }},
		{name: "bare values by turns, interval in a remark", kind: "turns", header: "# every 10 s: volts, then amperes",
			line: func(_ int, r row) string { return f("%.3f\n%.3f", r.v, r.i) }},
		{name: "bare values by turns, live", kind: "turns", live: true,
			line: func(_ int, r row) string { return f("%.0f\n%.0f", r.i*1000, r.v*1000) }},
		{name: "time, voltage and current by turns", kind: "turns",
			line: func(_ int, r row) string { return comma("%.0f\n%.3f\n%.3f", r.t, r.v, r.i) }},
		{name: "points between thousands", kind: "columns", header: "Zeit;mV;mA",
			line: func(_ int, r row) string { return thousands(".", "%s;%s;%s", r.t, r.v*1000, r.i*1000) }},
		{name: "commas between thousands, no names", kind: "columns",
			line: func(_ int, r row) string { return thousands(",", "%s;%s;%s", r.t*1000, r.v*1000, r.i*1000) }},
		{name: "quoted, commas between thousands", kind: "columns", header: `"Time (s)","U (mV)","I (mA)"`,
			line: func(_ int, r row) string { return thousands(",", `"%s","%s","%s"`, r.t, r.v*1000, r.i*1000) }},
		{name: "apostrophes between thousands", kind: "columns", header: "Zeit [s];Spannung [mV];Strom [mA]",
			line: func(_ int, r row) string { return thousands("'", "%s;%s;%s", r.t, r.v*1000, r.i*1000) }},
		{name: "narrow blanks between thousands", kind: "columns", header: "Temps (s);Tension (mV);Courant (mA)",
			line: func(_ int, r row) string { return thousands("\u202f", "%s;%s;%s", r.t, r.v*1000, r.i*1000) }},
		{name: "labels with commas between thousands", kind: "labelled",
			line: func(_ int, r row) string { return thousands(",", "t=%s U=%s mV I=%s mA", r.t, r.v*1000, r.i*1000) }},
		{name: "millivolts all above a thousand", kind: "columns", header: "clock;mV;A",
			line: func(_ int, r row) string {
				return r.at().Format("15:04:05;") + thousands(".", "%s;", r.v*1000) + comma("%.2f", r.i)
			}},
		{name: "labels that differ by case", kind: "labelled",
			line: func(_ int, r row) string { return f("U=%.3fV I=%.0fmA T=%.1f t=%.0f", r.v, r.i*1000, r.celsius, r.t) }},
		{name: "durations in words, a number before", kind: "labelled",
			line: func(k int, r row) string {
				return f("#%d time %dm%02ds volt %.3f amp %.3f temp %.1f", k, int(r.t)/60, int(r.t)%60, r.v, r.i, r.celsius)
			}},
		{name: "pairs of lines, negative while charging", kind: "labelled",
			line: func(_ int, r row) string {
				return r.at().Format("2 Jan 2006 15:04:05") + f("\n  V = %.3f\n  A = %.3f\n", r.v, -r.i)
			}},
		{name: "temperatures in a list", kind: "json",
			line: func(k int, r row) string {
				return f(`{"id":%d,"pack":{"voltage_mV":%.0f,"current_mA":%.0f},"temps":[%.1f,%.1f],"at":%q}`,
					k, r.v*1000, -r.i*1000, r.celsius, r.celsius+1, r.at().Format(time.RFC3339))
			}},
		{name: "a decimal sum behind a bar", kind: "columns",
			line: func(_ int, r row) string {
				s := f("%.0f;%.3f;%.3f", r.t, r.v, r.i)
				return f("[%s|%03d]", s, sum([]byte(s))&0xff)
			}},
		{name: "thousands of seconds", kind: "columns",
			line: func(_ int, r row) string { return f("%.3E;%.4E;%.4E", r.v, r.i, r.t) }},
	}
}

// summer is the local time, in an hour that begins so many hours before the
// night of a change at 01:00 UTC.
func summer(r row, night time.Time) time.Time {
	utc := night.Add(-3 * time.Hour).Add(time.Duration(r.t) * time.Second)
	change := night.Add(time.Hour)
	if utc.Before(change) == (night.Month() > 6) {
		return utc.Add(2 * time.Hour)
	}
	return utc.Add(time.Hour)
}

// charge integrates what a stream gives, by the trapezoid, and finds the
// median of the highest voltages.
func charge(t testing.TB, s *Stream, lines [][]byte, live bool) (ah, held float64, rejected int) {
	last := analyze.Sample{At: math.NaN()}
	var volts []float64
	for i, l := range lines {
		arrival := math.NaN()
		if live {
			arrival = float64(i) * 10 * 2520 / float64(len(lines))
		}
		now, err := s.Line(l, arrival, 0)
		if err != nil {
			if refusal, ok := err.(*Refusal); assert.True(t, ok) && refusal.Row() {
				rejected++
			}
			continue
		}
		if !known(now.Amps) {
			continue
		}
		if dt := now.At - last.At; dt > 0 && dt < 100 {
			ah += (now.Amps + last.Amps) / 2 * dt / 3600
			if now.Volts > 14.39 && now.Volts < 14.41 {
				volts = append(volts, now.Volts)
			}
		}
		last = now
	}
	var st stats
	st.measure(volts)
	return ah, st.median, rejected
}

func TestLayouts(t *testing.T) {
	night := madeUpNight()
	for _, c := range layouts() {
		t.Run(c.name, func(t *testing.T) {
			lines := bytesOf(logOf(c.header, c.line))
			truth := night[len(night)-1].ah
			if c.charge > 0 {
				truth *= c.charge
			}
			if c.live {
				c.opt.Live = true
			}
			f, err := Fit(head(lines), c.opt)
			require.NoError(t, err)
			t.Log(f.Setting, f.Confidence, strings.Join(f.Evidence, "\n"), f.RunnerUp, f.Difference)
			assert.Equal(t, c.kind, f.Layout.Kind)
			again, err := Parse(f.Setting)
			require.NoError(t, err)
			assert.Equal(t, f.Setting, again.String(), "the setting reads back")
			s, err := NewStream(again)
			require.NoError(t, err)
			ah, held, _ := charge(t, s, lines, c.live)
			assert.InEpsilon(t, truth, ah, 0.005, "ampere-hours")
			assert.InDelta(t, 14.4, held, 0.01, "held voltage")
		})
	}
}
