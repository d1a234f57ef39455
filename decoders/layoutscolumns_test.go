package decoders

import (
	"fmt"
	"time"
)

// columnLayouts write each value at its place in the line, with or without a header.
func columnLayouts() []layoutCase {
	f := fmt.Sprintf
	list := []layoutCase{
		{name: "plain", header: "time_s,voltage_V,current_A,temperature_C",
			line: func(_ int, r row) string { return f("%.1f,%.4f,%.4f,%.1f", r.t, r.v, r.i, r.celsius) }},
		{name: "no header",
			line: func(_ int, r row) string { return f("%.1f,%.4f,%.4f", r.t, r.v, r.i) }},
		{name: "no header, temperature",
			line: func(_ int, r row) string { return f("%.1f,%.4f,%.4f,%.1f", r.t, r.v, r.i, r.celsius) }},
		{name: "current first",
			line: func(_ int, r row) string { return f("%.3f %.3f %.1f", r.i, r.v, r.t) }},
		{name: "milli-units without names",
			line: func(_ int, r row) string { return f("%.0f;%.0f;%.0f", r.t*1000, r.v*1000, r.i*1000) }},
		{name: "milli-units named", header: "t(ms)\tU(mV)\tI(mA)",
			line: func(_ int, r row) string { return f("%.0f\t%.0f\t%.0f", r.t*1000, r.v*1000, r.i*1000) }},
		{name: "german", header: "Zeit [min];Spannung [V];Strom [A];Temperatur [°C]",
			line: func(_ int, r row) string { return comma("%.4f;%.3f;%.3f;%.1f", r.t/60, r.v, r.i, r.celsius) }},
		{name: "french", header: "Temps (h);Tension (V);Courant (mA);Température",
			line: func(_ int, r row) string { return comma("%.6f;%.3f;%.1f;%.1f", r.t/3600, r.v, r.i*1000, r.celsius) }},
		{name: "spanish", header: "Tiempo\tTensión\tCorriente\tCarga (Ah)",
			line: func(_ int, r row) string { return f("%.1f\t%.3f\t%.3f\t%.4f", r.t, r.v, r.i, r.ah) }},
		{name: "decimal comma, no header",
			line: func(_ int, r row) string { return comma("%.1f;%.3f;%.3f", r.t, r.v, r.i) }},
		{name: "decimal comma, blanks",
			line: func(_ int, r row) string { return comma("%9.1f %8.3f %8.3f", r.t, r.v, r.i) }},
		{name: "quoted decimal comma between commas", header: `"Time","Voltage","Current"`,
			line: func(_ int, r row) string {
				return `"` + comma("%.1f", r.t) + `","` + comma("%.3f", r.v) + `","` + comma("%.3f", r.i) + `"`
			}},
		{name: "fixed width", header: "   Time     Volt      Amp",
			line: func(_ int, r row) string { return f("%8.1f %8.3f %8.3f", r.t, r.v, r.i) }},
		{name: "header with units apart", header: "Time [s]  Voltage [V]  Current [mA]",
			line: func(_ int, r row) string { return f("%8.1f    %8.3f   %8.1f", r.t, r.v, r.i*1000) }},
		{name: "units on a line of their own", header: "Time,Voltage,Current\ns,mV,mA",
			line: func(_ int, r row) string { return f("%.1f,%.0f,%.0f", r.t, r.v*1000, r.i*1000) }},
		{name: "minutes without name",
			line: func(_ int, r row) string { return f("%.4f,%.3f,%.3f", r.t/60, r.v, r.i) }},
		{name: "hours without name",
			line: func(_ int, r row) string { return f("%.6f,%.3f,%.3f", r.t/3600, r.v, r.i) }},
		{name: "clock over midnight", header: "Time,Voltage,Current",
			line: func(_ int, r row) string { return f("%s,%.3f,%.3f", r.at().Format("15:04:05"), r.v, r.i) }},
		{name: "clock with halves of the day", header: "Time,Voltage,Current",
			line: func(_ int, r row) string { return f("%s,%.3f,%.3f", r.at().Format("3:04:05 PM"), r.v, r.i) }},
		{name: "elapsed h:mm:ss", header: "Elapsed,V,A",
			line: func(_ int, r row) string {
				return f("%d:%02d:%02d,%.3f,%.3f", int(r.t)/3600, int(r.t)/60%60, int(r.t)%60, r.v, r.i)
			}},
		{name: "minutes and seconds",
			line: func(_ int, r row) string { return f("%02d:%02d.0,%.3f,%.3f", int(r.t)/60, int(r.t)%60, r.v, r.i) }},
		{name: "day first", header: "Datum;Uhrzeit;U/V;I/A",
			line: func(_ int, r row) string { return r.at().Format("02.01.2006;15:04:05;") + comma("%.3f;%.3f", r.v, r.i) }},
		{name: "month first in one column", header: "Date,V,I",
			line: func(_ int, r row) string { return r.at().Format("01/02/2006 15:04:05") + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "date and clock between blanks",
			line: func(_ int, r row) string { return r.at().Format("2006-01-02 15:04:05") + f(" %.3f %.3f", r.v, r.i) }},
		{name: "RFC 3339", header: "timestamp,volts,amps",
			line: func(_ int, r row) string { return r.at().Format(time.RFC3339) + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "Unix time",
			line: func(_ int, r row) string { return f("%d,%.3f,%.3f", r.at().Unix(), r.v, r.i) }},
		{name: "Unix milliseconds", header: "ts|u|i",
			line: func(_ int, r row) string { return f("%d|%.3f|%.3f", r.at().UnixMilli(), r.v, r.i) }},
		{name: "days since 1900", header: "Time,V,A",
			line: func(_ int, r row) string { return f("%.8f,%.3f,%.3f", 46036+r.t/86400, r.v, r.i) }},
		{name: "row number and time",
			line: func(k int, r row) string { return f("%d,%.1f,%.3f,%.3f", k+1, r.t, r.v, r.i) }},
		{name: "row number and clock", header: "No,Clock,V,A",
			line: func(k int, r row) string { return f("%d,%s,%.3f,%.3f", k+1, r.at().Format("15:04:05"), r.v, r.i) }},
		{name: "power first",
			line: func(_ int, r row) string { return f("%.3f,%.3f,%.3f,%.1f", r.v*r.i, r.i, r.v, r.t) }},
		{name: "power, counter and energy", header: "s,W,Ah,Wh,A,V",
			line: func(_ int, r row) string {
				return f("%.0f,%.3f,%.4f,%.3f,%.3f,%.3f", r.t, r.v*r.i, r.ah, r.ah*13.5, r.i, r.v)
			}},
		{name: "counter without names",
			line: func(_ int, r row) string { return f("%.0f,%.1f,%.0f,%.0f", r.t, r.ah*1000, r.i*1000, r.v*1000) }},
		{name: "engineering notation",
			line: func(_ int, r row) string { return f("%+.8E,%+.8E,%+.8E", r.t, r.v, r.i) }},
		{name: "overload words", header: "time,volts,amps",
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
		{name: "negative while charging", header: "time,V,A",
			line: func(_ int, r row) string { return f("%.0f,%.3f,%.3f", r.t, r.v, -r.i) }},
		{name: "negative without names",
			line: func(_ int, r row) string { return f("%.0f,%.0f,%.3f", r.t, -1000*r.i, r.v) }},
		{name: "noise after the header", header: "current,voltage,time\nready\n\n3 2 1",
			line: func(_ int, r row) string { return f("%.3f,%.3f,%.0f", r.i, r.v, r.t) }},
		{name: "noise between", header: "Logger 1.2 ready\n\n> log on\ntime;volt;amp",
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
		{name: "start mark and xor",
			line: func(_ int, r row) string { return withXor(f("%.0f,%.3f,%.3f", r.t, r.v, r.i)) }},
		{name: "marks and unknown tail",
			line: func(k int, r row) string { return f("<%.0f;%.3f;%.3f*%04X>", r.t, r.v, r.i, k*7919&0xffff) }},
		{name: "crc as last column",
			line: func(_ int, r row) string {
				s := f("%.0f,%.3f,%.3f", r.t, r.v, r.i)
				return s + f(",%04X", crcLow([]byte(s), 0xa001, 0xffff))
			}},
		{name: "no time, a counter of charge tells it",
			line: func(_ int, r row) string { return f("%.3f;%.3f;%.3f", r.v, r.i, r.ah) }},
		{name: "number of the row, milli-units, a counter, no names",
			line: func(k int, r row) string {
				return f("%d,%.0f,%.2f,%.0f,%.0f", k, r.t, r.v, r.i*1000, r.ah*1000)
			}},
		{name: "bare pairs, interval in a comment", header: "# interval: 10 s",
			line: func(_ int, r row) string { return f("%.3f %.3f", r.v, r.i) }},
		{name: "bare pairs, interval given", opt: Options{Interval: 10},
			line: func(_ int, r row) string { return f("%.3f,%.3f", r.i, r.v) }},
		{name: "bare pairs, live", live: true,
			line: func(_ int, r row) string { return f("%.3f\t%.3f", r.v, r.i) }},
		{name: "Latin-1 names", header: "Zeit/s;Spannung/V;Strom/A;Temp/\xb0C",
			line: func(_ int, r row) string { return comma("%.0f;%.3f;%.3f;%.1f", r.t, r.v, r.i, r.celsius) }},
		{name: "mark of UTF-8", header: "\xef\xbb\xbftime,current,voltage",
			line: func(_ int, r row) string { return f("%.0f,%.3f,%.3f", r.t, r.i, r.v) }},
		{name: "settings beside", header: "time,set voltage,voltage,set current,current",
			line: func(_ int, r row) string { return f("%.0f,14.400,%.3f,3.500,%.3f", r.t, r.v, r.i) }},
		{name: "mostly noise", header: "boot 3 ok",
			line: func(k int, r row) string {
				return f("[%d] heap 20480 free, task %d idle\nstatus: ok\n\n-----\nwifi rssi -61 dBm\n(c) 2024 logger v1.3\n%.0f,%.3f,%.3f", k, k%7, r.t, r.v, r.i)
			}},
		{name: "fixed width with holes", header: "    Time    Volt     Amp    Temp",
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
		{name: "alternate cells", header: "time,volt,amp",
			line: func(_ int, r row) string { return f("%.1f,%.3f,\n%.1f,,%.3f", r.t, r.v, r.t+0.5, r.i) }},
		{name: "clock over the end of summer time", header: "date;time;V;A",
			line: func(_ int, r row) string {
				return summer(r, time.Date(2025, 10, 26, 0, 0, 0, 0, time.UTC)).Format("02.01.2006;15:04:05") + f(";%.3f;%.3f", r.v, r.i)
			}},
		{name: "clock over the beginning of summer time", header: "date;time;V;A",
			line: func(_ int, r row) string {
				return summer(r, time.Date(2025, 3, 30, 0, 0, 0, 0, time.UTC)).Format("02.01.2006;15:04:05") + f(";%.3f;%.3f", r.v, r.i)
			}},
		{name: "stamp and elapsed", header: "Timestamp,Elapsed(s),Current(A),Voltage(V)",
			line: func(_ int, r row) string {
				return r.at().Format("2006-01-02 15:04") + f(",%.0f,%.3f,%.3f", r.t, r.i, r.v)
			}},
		{name: "four cells beside",
			line: func(k int, r row) string {
				return f("%.0f %.3f %.4f %.4f %.4f %.4f %.3f %.1f", r.t, r.v, r.v/4+0.001, r.v/4, r.v/4-0.002, r.v/4+0.003, r.i, r.celsius)
			}},
		{name: "charge counter proves minutes",
			line: func(_ int, r row) string { return f("%.5f,%.4f,%.3f,%.3f", r.t/60, r.ah, r.v, r.i) }},
		{name: "current in milliampere small",
			line: func(_ int, r row) string { return f("%.0f\t%.3f\t%.0f\t%.1f", r.t, r.v, r.i*1000, r.ah*1000) }},
		{name: "crc with marks",
			line: func(_ int, r row) string {
				s := f("%.0f,%.3f,%.3f", r.t, r.v, r.i)
				return f("#%s*%04X", s, crcHigh([]byte(s), 16, 0x1021, 0xffff))
			}},
		{name: "trailing separator", header: "time;volt;amp;",
			line: func(_ int, r row) string { return comma("%.0f;%.3f;%.3f;", r.t, r.v, r.i) }},
		{name: "comment marks before the header", header: "# charge log\n# time/s voltage/V current/A",
			line: func(_ int, r row) string { return f("%.0f %.3f %.3f", r.t, r.v, r.i) }},
		{name: "single cell",
			line: func(_ int, r row) string { return f("%.0f,%.1f,%.4f,%.4f", r.t, r.celsius, r.i/2, r.v) }, share: 0.5},
		{name: "every number with its sign",
			line: func(_ int, r row) string { return f("%+.2f\t%+.3f\t%+.3f", r.t, r.v, r.i) }},
		{name: "month by name", header: "when,U,I",
			line: func(_ int, r row) string { return r.at().Format("02-Jan-2006 15:04:05") + f(",%.3f,%.3f", r.v, r.i) }},
		{name: "two digits of the year",
			line: func(_ int, r row) string { return r.at().Format("02.01.06 15:04:05") + f(" %.3f %.3f", r.v, r.i) }},
		{name: "rate in hertz", header: "rate: 0.1 Hz\nvolt,amp",
			line: func(_ int, r row) string { return f("%.3f,%.3f", r.v, r.i) }},
		{name: "current from power", header: "time_s,voltage_V,power_W",
			line: func(_ int, r row) string { return f("%.0f,%.3f,%.4f", r.t, r.v, r.v*r.i) }},
		{name: "word before the data", header: "INFO,boot,3,ok",
			line: func(k int, r row) string { return f("DATA,%.1f,%.3f,%.3f\nINFO,free,%d", r.t, r.v, r.i, k%9) }},
		{name: "word after the data",
			line: func(k int, r row) string {
				return f("%.1f,%.3f,%.3f,%s", r.t, r.v, r.i, []string{"CC", "CV", "idle"}[k%3])
			}},
		{name: "blanks after the separator", header: "time; U; I",
			line: func(_ int, r row) string { return f("%.0f; %.3f; %.3f", r.t, r.v, r.i) }},
		{name: "table with bars around", header: "| time | volt | amp |\n|------|------|-----|",
			line: func(_ int, r row) string { return f("| %.0f | %.3f | %.3f |", r.t, r.v, r.i) }},
		{name: "control characters as marks",
			line: func(_ int, r row) string {
				s := f("%.0f,%.3f,%.3f", r.t, r.v, r.i)
				return f("\x02%s\x03%02X", s, xor8([]byte(s)))
			}},
		{name: "interval by a sign", header: "# dt=10",
			line: func(_ int, r row) string { return f("%.3f %.3f", r.i, r.v) }},
		{name: "discharge named positive", header: "t/s,U/V,I/A",
			line: func(_ int, r row) string { return f("%.0f,%.2f,%.2f", r.t, r.v, -r.i) }},
		{name: "coarse numbers",
			line: func(_ int, r row) string { return f("%.0f %.2f %.2f", r.t, r.v, r.i) }},
		{name: "prompt before the data",
			line: func(_ int, r row) string { return f("> %.0f,%.3f,%.3f", r.t, r.v, r.i) }},
		{name: "marks and two digits at the end",
			line: func(_ int, r row) string { return f("$%.0f,%.3f,%.3f,%.0f", r.t, r.v, r.i, r.celsius) }},
		{name: "points between thousands", header: "Zeit;mV;mA",
			line: func(_ int, r row) string { return thousands(".", "%s;%s;%s", r.t, r.v*1000, r.i*1000) }},
		{name: "commas between thousands, no names",
			line: func(_ int, r row) string { return thousands(",", "%s;%s;%s", r.t*1000, r.v*1000, r.i*1000) }},
		{name: "quoted, commas between thousands", header: `"Time (s)","U (mV)","I (mA)"`,
			line: func(_ int, r row) string { return thousands(",", `"%s","%s","%s"`, r.t, r.v*1000, r.i*1000) }},
		{name: "apostrophes between thousands", header: "Zeit [s];Spannung [mV];Strom [mA]",
			line: func(_ int, r row) string { return thousands("'", "%s;%s;%s", r.t, r.v*1000, r.i*1000) }},
		{name: "hundredfold counts", header: "time,voltage_x100,current_x100",
			line: func(_ int, r row) string { return f("%.0f,%.0f,%.0f", r.t, r.v*100, r.i*100) }},
		{name: "seconds below date/time", header: "Дата/время;Напряжение, В;Ток, А",
			line: func(_ int, r row) string { return comma("%.1f;%.3f;%.3f", r.t, r.v, r.i) }},
		{name: "minutes and seconds, a row a minute", header: "tid | strøm (A) | spænding (V)",
			line: func(_ int, r row) string {
				if int(r.t)%60 > 0 {
					return ""
				}
				return f("%d:00 | %.3f | %.3f", int(r.t)/60, r.i, r.v)
			}},
		{name: "narrow blanks between thousands", header: "Temps (s);Tension (mV);Courant (mA)",
			line: func(_ int, r row) string { return thousands("\u202f", "%s;%s;%s", r.t, r.v*1000, r.i*1000) }},
		{name: "millivolts all above a thousand", header: "clock;mV;A",
			line: func(_ int, r row) string {
				return r.at().Format("15:04:05;") + thousands(".", "%s;", r.v*1000) + comma("%.2f", r.i)
			}},
		{name: "a decimal sum behind a bar",
			line: func(_ int, r row) string {
				s := f("%.0f;%.3f;%.3f", r.t, r.v, r.i)
				return f("[%s|%03d]", s, sum([]byte(s))&0xff)
			}},
		{name: "thousands of seconds",
			line: func(_ int, r row) string { return f("%.3E;%.4E;%.4E", r.v, r.i, r.t) }},
	}
	for k := range list {
		list[k].kind = "columns"
	}
	return list
}
