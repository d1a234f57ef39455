package decoders

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a person reads at a glance, in as many lines as are given: 0 for all of the night.
func TestWhatIsReadAtAGlance(t *testing.T) {
	f := fmt.Sprintf
	cells := []string{ // invented
		"1;00:00:00;11351;2498;0;3787;3783;3785",
		"1;00:00:05;11353;2501;3;3788;3783;3786",
		"1;00:00:10;11359;2498;6;3788;3784;3787",
		"1;00:00:15;11358;2498;10;3788;3783;3786",
		"1;00:00:20;11355;2501;13;3789;3785;3789",
		"1;00:00:25;11356;2502;17;3789;3785;3787",
		"1;00:00:30;11359;2500;20;3789;3785;3789",
		"1;00:00:35;11359;2501;24;3791;3785;3788",
	}
	ranges := []string{ // invented
		"00:00:00\t12.346\tV\t0.1\tmA",
		"00:00:10\t12.349\tV\t-0.2\tmA",
		"00:00:20\t12.356\tV\t-1.4\tmA",
		"00:00:30\t12.349\tV\t-0.1\tmA",
		"00:00:40\t12.352\tV\t-1.1\tmA",
		"00:00:50\t12.351\tV\t0.5\tmA",
		"00:01:00\t12.351\tV\t-0.5\tmA",
		"00:01:10\t12.349\tV\t0.3\tmA",
	}
	hms := func(r row) string { return r.at().Format("15:04:05") }
	for _, c := range []struct {
		name, header string
		lines        int
		opt          Options
		want         string
		line         func(k int, r row) string
	}{
		{name: "a label behind a value and a blank before its own is no unit", want: "voltage=v:V current=a:A counter=c:mAh clock=t:h:m:s",
			line: func(_ int, r row) string { return f("V:%5.2f A:%5.2f C:%06.0f T:%s", r.v, r.i, r.ah*1000, hms(r)) }},
		{name: "minutes of the day", header: "YEAR,DAY,HHMM,SEC,V,A", want: "clock=3:hm clock=4:s voltage=5:V current=6:A",
			line: func(_ int, r row) string {
				return f("%s,%s,%d,%.3f,%.3f", r.at().Format("2006"), r.at().Format("002,1504"), r.at().Second(), r.v, r.i)
			}},
		{name: "minutes of the day, not called so", header: "date,x,V,A", lines: 1000, want: "date=1:y-m-d clock=2:hm voltage=3:V current=4:A",
			line: func(_ int, r row) string { return f("%s,%.3f,%.3f", r.at().Format("2006-01-02,1504"), r.v, r.i) }},
		{name: "two meters by turns, a number before the first comma", want: "clock=#time:h:m:s voltage=#V:V current=#A:A",
			line: func(_ int, r row) string {
				return f("DMM1,%s,%.4f,V\nDMM2,%s,%.4f,A", hms(r), r.v, hms(r), r.i)
			}},
		{name: "a unit in a cell of its own rules, also where only the value has a name", header: "\tVoltage\tUnit\tCurrent\tUnit", lines: 9, want: "time=#1:h:m:s voltage=#V:V current=#A:A",
			line: func(k int, _ row) string { return ranges[k%len(ranges)] }},
		{name: "the letter of a message's level is no current", want: "time=i:ms voltage=vbat:V current=ibat:A",
			line: func(_ int, r row) string {
				return f("I (%.0f) bat: vbat=%.0fmV ibat=%.0fmA", r.t*1000, r.v*1000, r.i*1000)
			}},
		{name: "a block with the same word behind others", want: `time=time:h:m:s voltage="battery voltage":V current="battery current":A`,
			line: func(_ int, r row) string {
				return f("Time: %02.0f:%02d:%02d\nPV voltage: 35.1 V\nPV current: %.2f A\nBattery voltage: %.2f V\nBattery current: %.2f A\n", float64(int(r.t)/3600), int(r.t)/60%60, int(r.t)%60, r.i*r.v/35, r.v, r.i)
			}},
		{name: "what is named goes before volts without a name", lines: 60, want: "stamp=#1:y-m-d voltage=voltage:V current=current:A",
			line: func(_ int, r row) string {
				return f("--- %s ---\nVoltage : %.2f V\nCurrent : %.2f A\nSOC : 50 %%\nCell min/max: %.3f / %.3f V", r.at().Format("2006-01-02 15:04:05"), r.v, r.i, r.v/4-0.002, r.v/4)
			}},
		{name: "small numbers of another line prove no groups of thousands", want: "clock=#1:h:m:s voltage=voltage:V current=current:A",
			line: func(k int, r row) string {
				if k < 91 || r.i < 3 {
					return ""
				}
				return f("%s bat/1/voltage %.3f\n%s bat/1/current %.3f\n%s bat/1/soc %.0f", hms(r), r.v, hms(r), r.i, hms(r), 20+r.ah)
			}},
		{name: "six digits that go on by seconds are a clock", lines: 5, want: "clock=1:hms voltage=2:V current=3:A",
			line: func(_ int, r row) string { return f("%s,%.3f,%.3f", r.at().Format("150405"), r.v, r.i) }},
		{name: "six digits that go on by minutes are a clock", lines: 8, want: "clock=1:hms voltage=2:V current=3:A",
			line: func(k int, r row) string {
				return f("%s,%.3f,%.3f", time.Date(2026, 3, 14, 20, 40+k, 46, 0, time.UTC).Format("150405"), r.v, r.i)
			}},
		{name: "milliseconds of six digits are no clock", lines: 8, want: "time=1:ms voltage=2:V current=3:A",
			line: func(k int, r row) string { return f("%d,%.3f,%.3f", 120000+100*k, r.v, r.i) }},
		{name: "the letter T of degrees is no time", lines: 40, opt: Options{Live: true, Span: 40}, want: "voltage=v:V current=i:A temperature=t:C",
			line: func(k int, r row) string {
				return f(`{"v":%.3f,"i":%.3f,"t":%.1f}`, r.v, r.i, 21.5+0.1*float64(k*k/160))
			}},
		{name: "the letter T of minutes is a time", lines: 40, want: "voltage=v:V current=i:A time=t:min",
			line: func(k int, r row) string { return f(`{"v":%.3f,"i":%.3f,"t":%.1f}`, r.v, r.i, 12+float64(k)/6) }},
		{name: "the number of the row beside a time", lines: 12, want: "time=2:s voltage=3:V current=4:A", opt: Options{Live: true, Span: 2},
			line: func(k int, r row) string { return f("#%05d,%d,%.3f,%.3f", 70+k, 4200+60*k, r.v, 3.5-0.01*float64(k%3)) }},
		{name: "the number of the row is no count of charge", lines: 40, want: "time=2:s voltage=3:V current=4:A", opt: Options{Live: true, Span: 6},
			line: func(k int, r row) string {
				return f("#%05d,%d,%.3f,%.3f", 70+k, 4200+60*k, 12.13+0.01*float64(k), 0.71-0.001*float64(k%2))
			}},
		{name: "minutes that go on by one beside a charge are no number of the row", lines: 40, want: "time=1:min voltage=2:V current=3:A counter=4:Ah",
			line: func(k int, r row) string {
				return f("%.2f,%.3f,%.3f,%.4f", 68+float64(k), 4.1+0.002*float64(k), 1.08-0.001*float64(k%2), 1.188+0.018*float64(k))
			}},
		{name: "a checksum by name is no current, whatever letter it ends in", lines: 9, want: `voltage=v:V current=a:A temperature="=T":C time="=t":s`,
			line: func(k int, r row) string {
				return f("V=%.3f,A=%.3f,T=20.%d,t=%d,CS=%s", r.v, r.i, k/5, 5340+60*k, []string{"8A", "81", "F3"}[k%3])
			}},
		{name: "a state of two letters is no dump", lines: 8, want: "time=1:s voltage=4:V current=5:A",
			line: func(k int, r row) string {
				return f("%d,14.40,9.30,%.3f,%.3f,CC", 4080+60*k, 14.165+0.003*float64(k), 9.299+0.001*float64(k%3))
			}},
		{name: "when a log began is no time of its rows", header: "Battery charge log\nStarted 2026-08-14 19:44\n", want: "time=#1:ms current=#A:A voltage=#V:V",
			line: func(_ int, r row) string {
				return strings.ReplaceAll(f("%.0f; %.4f A; %.4f V", r.t*1000, r.i, r.v), ".", ",")
			}},
		{name: "minutes and seconds, as long as they took", header: "time,volt,amp", lines: 10, opt: Options{Live: true, Span: 80}, want: "time=1:m:s voltage=2:V current=3:A",
			line: func(_ int, r row) string { return f("%d:%02d,%.3f,%.3f", int(r.t)/60, int(r.t)%60, r.v, r.i) }},
		{name: "hours and minutes, as long as they took", header: "time,volt,amp", lines: 40, opt: Options{Live: true, Span: 380}, want: "clock=1:h:m:s voltage=2:V current=3:A",
			line: func(_ int, r row) string { return f("%s,%.3f,%.3f", r.at().Format("15:04"), r.v, r.i) }},
		{name: "a number of the cell", header: ";Time;U [mV];I [mA];C [mAh];Cell1 [mV];Cell2 [mV];Cell3 [mV]", lines: 9, want: "time=2:h:m:s voltage=3:mV current=4:mA counter=5:mAh",
			line: func(k int, _ row) string { return cells[k%len(cells)] }},
		{name: "what falls as it rises is no time after eight lines either", lines: 9, want: "clock=#1:h:m:s voltage=u:V current=i:A",
			line: func(k int, r row) string {
				return f(`%s pi batlog[812]: {"u":%.3f,"i":%.3f,"t":%.1f}`, r.at().Format("Jan 02 15:04:05"), r.v, r.i, 21.5+0.1*float64(k%2))
			}},
	} {
		t.Run(c.name, func(t *testing.T) {
			lines := bytesOf(logOf(c.header, c.line))
			if c.lines > 0 {
				lines = lines[:c.lines]
			}
			got, err := Fit(head(lines), c.opt)
			require.NoError(t, err)
			assert.Equal(t, c.want, fieldsOf(got.Layout), got.Setting)
			assert.Greater(t, got.Share, 0.6)
		})
	}
}

// A state, a day and a power are no temperatures: they leap, or hardly ever change.
func TestWhatLeapsIsNoTemperature(t *testing.T) {
	for name, x := range map[string]func(k int, r row) string{
		"a state": func(_ int, r row) string {
			if r.i > 0.1 {
				return "17"
			}
			return "1"
		},
		"a day":   func(k int, _ row) string { return fmt.Sprint(18 + k/1500) },
		"a power": func(k int, r row) string { return fmt.Sprint(int(min(r.i, 1)*12) + k%2) },
	} {
		t.Run(name, func(t *testing.T) {
			lines := bytesOf(logOf("s,x,U,I", func(k int, r row) string {
				return fmt.Sprintf("%.0f,%s,%.3f,%.3f", r.t, x(k, r), r.v, r.i)
			}))
			f, err := Fit(head(lines), Options{})
			require.NoError(t, err)
			assert.False(t, f.Layout.Has(Celsius), f.Setting)
		})
	}
}

// Of the name that may be cut a unit of time is left where it is whole: a mark stands before it, or
// it is the end of no other.
func TestAUnitOfTimeIsLeftOfAHeader(t *testing.T) {
	for line, want := range map[string]string{
		"ime [0.1 s];U;I": "[0.1 s];U;I", "0.1 s];U;I": "", "me_ms,V,A": "_ms,V,A", "ms,V,A": "ms,V,A", "s,V,A": ",V,A",
		"seconds,V,A": ",V,A", "micros,V,A": "micros,V,A", "current_A,V": ",V", "Zeit (s);V": "(s);V", `"Elapsed s","V"`: `,"V"`,
	} {
		assert.Equal(t, want, string(Remnant([]byte(line))), line)
	}
}

// A title above the columns leaves some of them a name of blanks.
func TestANameOfBlanksIsNone(t *testing.T) {
	c := &column{name: "  ", what: isNumber}
	assert.False(t, c.begins('h'))
}

// Of the first lines of a live source: a voltage that rises by a few of its last digits at each is no
// time, and seconds with a nought behind the point are no clock of six digits.
func TestWhatIsNoTimeAtFirstSight(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		{"12.600 3.504 22.5|12.602 3.497 22.5|12.606 3.496 22.5|12.608 3.502 22.4|12.611 3.500 22.3|12.612 3.501 22.7|12.614 3.500 22.6|12.616 3.503 22.5", "voltage=1:V current=2:A"},
		{"3600.0 12.604 3.504|3605.0 12.602 3.497|3610.0 12.606 3.496|3615.0 12.603 3.502|3620.0 12.605 3.500|3625.0 12.604 3.501|3630.0 12.607 3.500|3635.0 12.605 3.503", "time=1:s voltage=2:V current=3:A"},
		{"003600 12.604 3.504|003605 12.602 3.497|003610 12.606 3.496|003615 12.603 3.502|003620 12.605 3.500|003625 12.604 3.501|003630 12.607 3.500|003635 12.605 3.503", "clock=1:hms voltage=2:V current=3:A"},
	} {
		got, err := Fit(bytesOf(strings.Split(c.line, "|")), Options{Live: true, Span: 1.4})
		require.NoError(t, err)
		assert.Equal(t, c.want, fieldsOf(got.Layout))
	}
}

// A temperature without a name, which flickers as a steady current does, is no current where another
// column may be one; where there is no other, so much current is.
func TestATemperatureIsNoCurrent(t *testing.T) {
	for amps, want := range map[float64]map[string]string{
		3.5: {"v a c": "voltage=1:V current=2:A", "c v a": "voltage=2:V current=3:A", "v a": "voltage=1:V current=2:A"},
		22:  {"v a": "voltage=1:V current=2:A", "n v a": "voltage=2:V current=3:A"},
	} {
		chance := rand.New(rand.NewPCG(4, 1))
		lines := map[string][]string{}
		for k := range 40 {
			cell := strings.NewReplacer(
				"v", fmt.Sprintf("%.3f", 12.6+0.2*(1-math.Exp(-float64(k)/60))+0.001*chance.NormFloat64()),
				"a", fmt.Sprintf("%.3f", amps+0.004*chance.NormFloat64()),
				"c", fmt.Sprintf("%.1f", 22.3+0.05*chance.NormFloat64()), "n", fmt.Sprint(k+1))
			for layout := range want {
				lines[layout] = append(lines[layout], cell.Replace(layout))
			}
		}
		for layout := range want {
			got, err := Fit(bytesOf(lines[layout]), Options{Live: true, Span: 39})
			require.NoError(t, err, "%s, %g A", layout, amps)
			assert.Contains(t, got.Setting, want[layout], "%s, %g A", layout, amps)
		}
	}
}
