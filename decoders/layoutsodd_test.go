package decoders

import (
	"fmt"
	"strings"
	"time"
)

// oddLayouts are logs as people, spreadsheets and terminals leave them.
func oddLayouts() []layoutCase {
	f := fmt.Sprintf
	clock := func(r row) string { return r.at().Format("15:04:05") }
	list := []layoutCase{
		{name: "signs of typeset text", kind: "labelled", header: "Temps;Tension;Courant",
			line: func(_ int, r row) string {
				return r.at().Format("02/01/2006 15:04:05") + strings.ReplaceAll(comma(";%.3f\u00a0V;%.3f\u202fA", r.v, -r.i), "-", "\u2212")
			}},
		{name: "lines drawn between columns", header: "│ Zeit │ U │ I │",
			line: func(_ int, r row) string { return f("│ %s │ %.3f │ %.3f │", clock(r), r.v, r.i) }},
		{name: "colours", kind: "labelled",
			line: func(_ int, r row) string {
				return f("\x1b[32m%s\x1b[0m \x1b[1m%.3f\x1b[0mV %.3fA", r.at().Format(time.RFC3339), r.v, r.i)
			}},
		{name: "the heading again in other units", header: "t [s];U [V];I [A]",
			line: func(k int, r row) string {
				if k < 100 {
					return f("%.0f;%.3f;%.3f", r.t, r.v, r.i)
				}
				return again(k == 100, "t [min];U [mV];I [mA]", f("%.4f;%.0f;%.0f", r.t/60, r.v*1000, r.i*1000))
			}},
		{name: "the heading again in another order", header: "Time,Voltage,Current",
			line: func(k int, r row) string {
				if k < 100 {
					return f("%.0f,%.3f,%.3f", r.t, r.v, r.i)
				}
				return again(k == 100, "Time,Temperature,Current,Voltage", f("%.0f,%.1f,%.3f,%.3f", r.t, r.celsius, r.i, r.v))
			}},
		{name: "the heading again with its line of units", header: "Time\tVoltage\tCurrent\ns\tV\tA",
			line: func(k int, r row) string {
				if k < 100 {
					return f("%.0f\t%.3f\t%.3f", r.t, r.v, r.i)
				}
				return again(k == 100, "Time\tVoltage\tCurrent\ns\tV\tmA", f("%.0f\t%.3f\t%.0f", r.t, r.v, r.i*1000))
			}},
		{name: "a table of something else in between", header: "time_s,voltage_V,current_A",
			line: func(k int, r row) string {
				return again(k == 100, "step,capacity_Ah,energy_Wh\n1,99,99\n2,99,99\ntime_s,voltage_V,current_A", f("%.0f,%.3f,%.3f", r.t, r.v, r.i))
			}},
		{name: "a terminal's time before the row",
			line: func(_ int, r row) string { return f("%s.000 -> %.3f,%.3f", clock(r), r.v, r.i) }},
		{name: "a logger's time before the row", header: "Voltage;Current",
			line: func(_ int, r row) string {
				return f("[%s] %s", r.at().Format("2006-01-02 15:04:05"), comma("%.3f;%.3f", r.v, r.i))
			}},
		{name: "units in cells of their own", kind: "labelled", header: "Time,Voltage,Unit,Current,Unit",
			line: func(_ int, r row) string {
				if r.i < 1 {
					return f("%s,%.3f,V,%.1f,mA", clock(r), r.v, r.i*1000)
				}
				return f("%s,%.3f,V,%.3f,A", clock(r), r.v, r.i)
			}},
		{name: "names without blanks", kind: "labelled",
			line: func(_ int, r row) string { return f("%s V%.3fA%.3f", clock(r), r.v, r.i) }},
		{name: "names with more in braces", kind: "labelled",
			line: func(_ int, r row) string {
				at := r.at().UnixMilli()
				return f("bat_volts{id=\"1\"} %.3f %d\nbat_amperes{id=\"1\"} %.3f %d", r.v, at, r.i, at)
			}},
		{name: "tags", kind: "labelled",
			line: func(_ int, r row) string {
				return f("<r><t>%s</t><voltage>%.3f</voltage><current>%.3f</current></r>", r.at().Format(time.RFC3339), r.v, r.i)
			}},
		{name: "another word before the time", kind: "labelled",
			line: func(_ int, r row) string {
				return f("%s %s %.3fV %.3fA", map[bool]string{true: "CC", false: "CV"}[r.v < 14.39], clock(r), r.v, r.i)
			}},
		{name: "a day of the week", header: "time\tvoltage\tcurrent",
			line: func(_ int, r row) string { return f("%s\t%.3f\t%.3f", r.at().Format(time.RFC1123Z), r.v, r.i) }},
		{name: "points in the clock", header: "Data;Ora;Tensione [V];Corrente [A]",
			line: func(_ int, r row) string { return r.at().Format("02/01/2006;15.04.05;") + comma("%.3f;%.3f", r.v, r.i) }},
		{name: "days before the clock", header: "Elapsed;V;A",
			line: func(_ int, r row) string {
				s := int(r.t) + 20*3600
				return f("%d.%02d:%02d:%02d;%.3f;%.3f", s/86400, s/3600%24, s/60%60, s%60, r.v, r.i)
			}},
		{name: "a duration in words", kind: "labelled",
			line: func(_ int, r row) string {
				s := int(r.t) + 20*3600
				return f("%dd %dh %02dm %02ds: %.3f V, %.3f A", s/86400, s/3600%24, s/60%60, s%60, r.v, r.i)
			}},
		{name: "a date without its year", kind: "labelled",
			line: func(_ int, r row) string { return r.at().Format("02.01. 15:04:05") + f(" %.3f V %.3f A", r.v, r.i) }},
		{name: "month and day before the clock",
			line: func(_ int, r row) string { return r.at().Format("01-02 15:04:05") + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "fourteen digits",
			line: func(_ int, r row) string { return r.at().Format("20060102150405") + f(";%.3f;%.3f", r.v, r.i) }},
		{name: "date and clock in digits",
			line: func(_ int, r row) string { return r.at().Format("20060102 150405") + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "colons in the date",
			line: func(_ int, r row) string { return r.at().Format("2006:01:02 15:04:05") + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "a column each for hours, minutes and seconds", header: "year,month,day,hour,min,sec,V,A",
			line: func(_ int, r row) string { return r.at().Format("2006,01,02,15,04,05") + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "a number of the day", header: "day,time,volts,amps",
			line: func(_ int, r row) string { return f("%d,%s,%.3f,%.3f", r.at().Day(), clock(r), r.v, r.i) }},
		{name: "tenths of a second", header: "t (0.1 s),U (0.01 V),I (0.01 A)",
			line: func(_ int, r row) string { return f("%.0f,%.3f,%.1f", r.t*10, r.v*100, r.i*100) }},
		{name: "the time since the row before", header: "dt_ms,volts,amps",
			line: func(_ int, r row) string { return f("10000,%.3f,%.3f", r.v, r.i) }},
		{name: "a clock without marks", header: "time,volts,amps",
			line: func(_ int, r row) string { return r.at().Format("150405") + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "a clock that lost its zeros", header: "date;time;volts;amps",
			line: func(_ int, r row) string {
				h, m, s := r.at().Clock()
				return f("%s;%d;%.3f;%.3f", r.at().Format("20060102"), h*10000+m*100+s, r.v, r.i)
			}},
		{name: "days before a third colon", header: "elapsed,volts,amps",
			line: func(_ int, r row) string {
				s := int(r.t) + 20*3600
				return f("%d:%02d:%02d:%02d,%.3f,%.3f", s/86400, s/3600%24, s/60%60, s%60, r.v, r.i)
			}},
		{name: "the year behind the clock",
			line: func(_ int, r row) string { return r.at().Format(time.ANSIC) + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "the year behind the clock and a zone", kind: "labelled",
			line: func(_ int, r row) string {
				return r.at().Format("[Mon 2 Jan 15:04:05 UTC 2006]") + f(" U %.3f V, I %.3f A", r.v, r.i)
			}},
		{name: "a month before the line", kind: "labelled",
			line: func(_ int, r row) string {
				return r.at().Format("Jan _2 15:04:05") + f(" bench u=%.3fV i=%.3fA", r.v, r.i)
			}},
		{name: "a month in German", header: "Zeitpunkt;Spannung;Strom",
			line: func(_ int, r row) string {
				return strings.Replace(r.at().Format("2. January 2006 15:04:05"), "March", "März", 1) + comma(";%.3f;%.3f", r.v, r.i)
			}},
		{name: "counts of some millivolts", header: "time s,voltage (2 mV),current (5 mA)",
			line: func(_ int, r row) string { return f("%.0f,%.0f,%.0f", r.t, r.v*500, r.i*200) }},
		{name: "counts of ten millivolts", header: "t_ds,u_10mV,i_10mA",
			line: func(_ int, r row) string { return f("%.0f,%.0f,%.0f", r.t*10, r.v*100, r.i*100) }},
		{name: "a hundred times as much", header: "time,voltage [V*100],current [A*100]",
			line: func(_ int, r row) string { return f("%.0f,%.0f,%.0f", r.t, r.v*100, r.i*100) }},
		{name: "micro-units that only the size tells", header: "time,voltage_now,current_now",
			line: func(_ int, r row) string { return f("%.0f,%.0f,%.0f", r.t, r.v*1e6, r.i*1e6) }},
		{name: "exponents after a D", header: "t u i",
			line: func(_ int, r row) string {
				return strings.ReplaceAll(f("%.6e %.6e %.6e", r.t, r.v, r.i), "e", "D")
			}},
		{name: "the letter of a prefix alone", header: "time,voltage,current",
			line: func(_ int, r row) string { return f("%.0f,%.3f,", r.t, r.v) + prefixedCurrent(r.i) }},
		{name: "the letter of a prefix behind a label", kind: "labelled",
			line: func(_ int, r row) string { return f("t=%.0f V=%.3f I=", r.t, r.v) + prefixedCurrent(r.i) }},
		{name: "another unit in small cells", kind: "labelled", header: "time; voltage; current",
			line: func(_ int, r row) string { return f("%.0f s; %.3f V; ", r.t, r.v) + prefixedCurrent(r.i) + "A" }},
		{name: "the least and the most", header: "Time,U,I,min,max",
			line: func(_ int, r row) string {
				return f("%s,%.3f,%.3f,%.3f,%.3f", clock(r), r.v, r.i, r.v/4-0.01, r.v/4+0.01)
			}},
		{name: "JSON with commas between the rows", kind: "json",
			line: func(_ int, r row) string { return f(` {"t": %.0f, "v": %.3f, "i": %.3f},`, r.t, r.v, r.i) }},
		{name: "labels between commas", kind: "labelled",
			line: func(_ int, r row) string { return f("Voltage: %.3f, Current: %.3f, Time: %.0f", r.v, r.i, r.t) }},
		{name: "commas in numbers and between them", header: "Zeit,Spannung,Strom",
			line: func(_ int, r row) string { return clock(r) + comma(",%.3f,%.3f", r.v, r.i) }},
		{name: "commas in numbers and between them, seconds, no header",
			line: func(_ int, r row) string { return f("%.0f", r.t) + comma(",%.3f,%.3f", r.v, -r.i) }},
		{name: "rows joined, others cut", header: "time_s,voltage_V,current_A", kind: "columns",
			line: func(k int, r row) string {
				l := f("%.0f,%.3f,%.3f", r.t, r.v, r.i)
				if k%30 == 11 {
					return l[:len(l)-4] + l // what is lost of it makes one row less
				}
				return l
			}, share: 1},
		{name: "charge current", header: "Time;Mains voltage;Battery voltage;Charge current",
			line: func(_ int, r row) string { return f("%s;231.5;%.3f;%.3f", clock(r), r.v, r.i) }},
		{name: "a remark with as many commas", header: "# a night in spring",
			line: func(k int, r row) string {
				return again(k%90 == 50, "# looked at it: warm, 21 C, 13.8", f("%.0f, %.3f, %.3f", r.t, r.v, r.i))
			}},
	}
	for i := range list {
		if list[i].kind == "" {
			list[i].kind = columnsEntry.Name
		}
	}
	return list
}

// prefixedCurrent writes currents below one ampere in thousandths.
func prefixedCurrent(amps float64) string {
	if amps < 1 {
		return fmt.Sprintf("%.0fm", amps*1000)
	}
	return fmt.Sprintf("%.3f", amps)
}

// again is a line behind others, where they are due.
func again(due bool, before, line string) string {
	if due {
		return before + "\n" + line
	}
	return line
}
