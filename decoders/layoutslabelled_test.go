package decoders

import (
	"fmt"
	"time"
)

// labelledLayouts write a value with its name or its unit, as text or JSON, or each on a
// line of its own.
func labelledLayouts() []layoutCase {
	f := fmt.Sprintf
	return []layoutCase{
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
		{name: "labels with xor", kind: "labelled",
			line: func(_ int, r row) string { return withXor(f("V=%.2f A=%.3f T=%.0f", r.v, r.i, r.t)) }},
		{name: "alternate lines", kind: "labelled",
			line: func(_ int, r row) string { return f("%.0f s U=%.3f V\n%.0f s I=%.3f A", r.t, r.v, r.t+1, r.i) }},
		{name: "alternate lines, live", kind: "labelled", live: true,
			line: func(_ int, r row) string { return f("VOLT %.3f\nCURR %.3f", r.v, r.i) }},
		{name: "a time line, then a line each", kind: "labelled",
			line: func(_ int, r row) string {
				return f("--- %s ---\nVoltage: %.3f V\nCurrent: %.3f A\n", r.at().Format("15:04:05"), r.v, r.i)
			}},
		{name: "names beside the values", kind: "json",
			line: func(_ int, r row) string {
				return f(`{"t":%.0f,"all":[{"name":"voltage","value":"%.3f"},{"name":"current","value":%.0f,"unit":"mA"}]}`, r.t, r.v, r.i*1000)
			}},
		{name: "unit in every cell", kind: "labelled",
			line: func(_ int, r row) string { return f("%.0fs,%.3fV,%.1fmA", r.t, r.v, r.i*1000) }},
		{name: "labels among noise", kind: "labelled",
			line: func(k int, r row) string {
				return f("cmd> help 1 2 3\nfree=20480 up=%d\nBAT %.3f V %.3f A\n", int(r.t), r.v, r.i)
			}, opt: Options{Interval: 10}},
		{name: "alternate lines in columns", kind: "labelled",
			line: func(_ int, r row) string { return f("%.1f,V,%.3f\n%.1f,I,%.3f", r.t, r.v, r.t+0.5, r.i) }},
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
		{name: "clock with parts of seconds", kind: "labelled",
			line: func(_ int, r row) string { return r.at().Format("15:04:05.000") + f("  %.3fV  %.3fA", r.v, r.i) }},
		{name: "interval in words", kind: "labelled", header: "Sampling every 10 seconds",
			line: func(_ int, r row) string { return f("%.3fV %.3fA", r.v, r.i) }},
		{name: "german labels", kind: "labelled",
			line: func(_ int, r row) string {
				return comma("Spannung: %.3f V  Strom: %.3f A  Zeit: ", r.v, r.i) + f("%d:%02d:%02d", int(r.t)/3600, int(r.t)/60%60, int(r.t)%60)
			}},
		{name: "JSON on alternate lines", kind: "json", live: true,
			line: func(_ int, r row) string { return f(`{"voltage":%.3f}`+"\n"+`{"current":%.3f}`, r.v, r.i) }},
		{name: "many units", kind: "labelled",
			line: func(_ int, r row) string {
				return f("%.2fV,%.3fA,%.2fW,%.3fAh,%.0fC,%s", r.v, r.i, r.v*r.i, r.ah, r.celsius, r.at().Format("15:04:05"))
			}},
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
		{name: "elapsed with a plus", kind: "labelled",
			line: func(_ int, r row) string {
				return f("T+%d:%02d:%02d %.3fV %.3fA", int(r.t)/3600, int(r.t)/60%60, int(r.t)%60, r.v, r.i)
			}},
		{name: "bare values by turns, interval in a remark", kind: "turns", header: "# every 10 s: volts, then amperes",
			line: func(_ int, r row) string { return f("%.3f\n%.3f", r.v, r.i) }},
		{name: "bare values by turns, live", kind: "turns", live: true,
			line: func(_ int, r row) string { return f("%.0f\n%.0f", r.i*1000, r.v*1000) }},
		{name: "time, voltage and current by turns", kind: "turns",
			line: func(_ int, r row) string { return comma("%.0f\n%.3f\n%.3f", r.t, r.v, r.i) }},
		{name: "labels with commas between thousands", kind: "labelled",
			line: func(_ int, r row) string { return thousands(",", "t=%s U=%s mV I=%s mA", r.t, r.v*1000, r.i*1000) }},
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
		{name: "quoted decimal commas behind a date with points", kind: "labelled",
			line: func(_ int, r row) string {
				return r.at().Format(`zeit="02.01.2006 15:04:05" `) + comma(`spannung="%.2f" strom="%.2f"`, r.v, r.i)
			}},
		{name: "a label that begins with a letter beyond ASCII", kind: "labelled",
			line: func(_ int, r row) string {
				return r.at().Format("À 15h04:05, ") + comma("tension %.2f V, courant %.2f A", r.v, r.i)
			}},
		{name: "a resistance in ohms, units apart", kind: "labelled",
			line: func(_ int, r row) string { return f("%.0f s, 24.1 mΩ, %.2f A, %.3f V", r.t, r.i, r.v) }},
		{name: "labels of one letter before their values", kind: "labelled",
			line: func(_ int, r row) string {
				return r.at().Format("15:04:05 ") + f("V%.3f A%.3f W%.2f", r.v, r.i, r.v*r.i)
			}},
		{name: "a unit behind the time, then a colon", kind: "labelled",
			line: func(_ int, r row) string { return f("after %.2f min: %.2f V, %.2f A", r.t/60, r.v, r.i) }},
		{name: "temperatures in a list", kind: "json",
			line: func(k int, r row) string {
				return f(`{"id":%d,"pack":{"voltage_mV":%.0f,"current_mA":%.0f},"temps":[%.1f,%.1f],"at":%q}`,
					k, r.v*1000, -r.i*1000, r.celsius, r.celsius+1, r.at().Format(time.RFC3339))
			}},
	}
}
