package terminal

import (
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/dashboards/curve"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// invented is a night of no battery in particular, half way.
func invented() View {
	began := time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
	v := View{Keys: "q ends, with the summary"}
	for t := 0.0; t <= 18000; t += 60 {
		p := curve.Point{At: t, Volts: 12.3, Celsius: 18}
		switch {
		case t >= 10800:
			p.Volts, p.Amps = 14.4, 3.5*math.Exp(-(t-10800)/4000)
		case t >= 600:
			p.Volts, p.Amps = 12.6+1.8*(t-600)/10200, 3.5
		}
		v.Points = append(v.Points, p)
	}
	reading := &live.Reading{At: began.Add(5 * time.Hour), AtS: 18000, Volts: 14.4, Amps: 0.5785, Celsius: 18.2, AgeS: 1}
	v.Channel = live.Channel{
		Name: "bench", Battery: "mower", Source: live.Source{Name: "/dev/ttyUSB0", Up: true, State: "open"},
		Reading: reading, LastReading: reading, Stage: "constant-voltage", StageSinceS: 10800, Rows: 301, Used: 301, SilenceS: 60,
		RejectedByReason: map[string]int{"checksum does not match": 2},
		Session: &analyze.Session{
			Started: &began, StartS: 600, Outcome: analyze.Running, ChargeInAh: 13.104, ChargeInAhU95: 0.14, EnergyInWh: 180.3,
			FinishS: analyze.Number(math.NaN()), EndS: analyze.Number(math.NaN()),
			Forecast: &analyze.Forecast{FinishS: 21000, FinishSU95: 1500, ChargeInAh: 13.4},
			Stages: []analyze.Stage{
				{Stage: analyze.Idle, StartS: 0, EndS: 600}, {Stage: analyze.ConstantCurrent, StartS: 600, EndS: 10800},
				{Stage: analyze.ConstantVoltage, StartS: 10800, EndS: 18000},
			},
			Findings: []analyze.Finding{{Code: analyze.CodePulsed, Severity: analyze.Note, AtS: 700, EndS: analyze.Number(math.NaN()), Message: "the charger pauses for a second every minute"}},
		},
	}
	return v
}

var marks = regexp.MustCompile("\x1b\\[[0-9;]*m")

func TestScreens(t *testing.T) {
	zone := time.Local
	time.Local = time.UTC
	defer func() { time.Local = zone }()
	for _, s := range []Size{{80, 24, false}, {80, 24, true}, {40, 20, false}, {120, 40, false}, {30, 8, false}} {
		name := fmt.Sprintf("%dx%d", s.Width, s.Height)
		if s.Colour {
			name += "-colour"
		}
		t.Run(name, func(t *testing.T) {
			lines := Lines(invented(), s)
			assert.LessOrEqual(t, len(lines), s.Height)
			for _, l := range lines {
				assert.LessOrEqual(t, len([]rune(marks.ReplaceAllString(l, ""))), s.Width, l)
			}
			got := strings.ReplaceAll(strings.Join(lines, "\n"), "\x1b", "^[") + "\n"
			testhelp.Golden(t, filepath.Join("testdata", name+".txt"), got)
		})
	}
}

func TestColourAddsNothingButColour(t *testing.T) {
	bare, painted := Lines(invented(), Size{80, 24, false}), Lines(invented(), Size{80, 24, true})
	assert.Equal(t, bare, strings.Split(marks.ReplaceAllString(strings.Join(painted, "\n"), ""), "\n"))
}

func TestWhatIsOldIsNotShownAsPresent(t *testing.T) {
	v := invented()
	v.Channel.Reading = nil
	v.Channel.LastReading.AgeS = 400
	text, in := Sentence(&v.Channel)
	assert.Contains(t, text, "No reading for 6 min 40 s")
	assert.Equal(t, warned, in)
	assert.Contains(t, strings.Join(Lines(v, Size{40, 10, false}), "\n"), "? V   ? A")
}

func TestAnAlarmSpeaksFirst(t *testing.T) {
	v := invented()
	v.Channel.Session.Findings = append(v.Channel.Session.Findings, analyze.Finding{
		Code: analyze.CodeThermalRunaway, Severity: analyze.Alarm, EndS: analyze.Number(math.NaN()), Message: "the current rose from 1.2 to 1.9 A",
	})
	screen := strings.Join(Lines(v, Size{80, 24, false}), "\n")
	assert.Contains(t, screen, "the battery heats itself")
	assert.Less(t, strings.Index(screen, "!! the current rose"), strings.Index(screen, "-  the charger pauses"))
}

// What is large needs no small digits, and what has no size is drawn all the same.
func TestEdgesOfWhatFits(t *testing.T) {
	for n, want := range map[analyze.Number]string{99.99: "99.99", 100: "100.0", -99.99: "-99.99", -100: "-100.0"} {
		assert.Equal(t, want, decimals(n, 2))
	}
	assert.Equal(t, Lines(invented(), Size{leastWidth, leastHeight, false}), Lines(invented(), Size{}))
}

// Text of a device may hold anything; a terminal must be told nothing by it.
func TestControlCharactersStayOut(t *testing.T) {
	v := invented()
	hostile := "\x1b]0;owned\x07\x1b[2J\u009b31m\r\n"
	v.Channel.Name, v.Channel.Source.Name, v.Channel.Source.State, v.Channel.Battery = hostile, hostile, hostile, live.Text(hostile)
	v.Channel.Session.Findings[0].Message, v.Remark = hostile, hostile
	for _, l := range Lines(v, Size{80, 24, false}) {
		for _, c := range l {
			assert.False(t, c < ' ' || c >= 0x7f && c < 0xa0, "%q", l)
		}
	}
	v.Channel.LastReading, v.Channel.Reading = nil, nil
	for _, l := range Lines(v, Size{80, 24, false}) {
		assert.NotContains(t, l, "\x1b")
	}
}

// A daemon tells of one reading again and again, until the meter sends the next.
func TestOneReadingIsNoCurve(t *testing.T) {
	v := invented()
	v.Points = []curve.Point{v.Points[9], v.Points[9]}
	assert.Contains(t, strings.Join(Lines(v, Size{80, 24, false}), "\n"), "The curve begins with the second reading.")
}

func TestNothingKnownYet(t *testing.T) {
	lines := Lines(View{Channel: live.Channel{Name: "bench", Source: live.Source{Name: "/dev/ttyUSB0"}}}, Size{80, 24, false})
	assert.Contains(t, strings.Join(lines, "\n"), "Nothing heard yet from /dev/ttyUSB0.")
}

// A clock that nobody has set tells no time of day.
func TestTimesOfAClockThatIsNotSetAreThoseOfTheLog(t *testing.T) {
	unset := time.Unix(70, 0)
	s := &analyze.Session{Started: &unset, StartS: 40, Forecast: &analyze.Forecast{FinishS: 7240, FinishSU95: 600}}
	assert.Equal(t, "Done about 2 h 01 min of the log, between 1 h 51 min of the log and 2 h 11 min of the log.", done(s))
}

// In the night in which summer time ends it is said which half past two is meant.
func TestTheHourThatComesTwiceIsToldApart(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	began := time.Date(2026, 10, 24, 22, 30, 0, 0, time.UTC).In(zone)
	local := time.Local
	time.Local = zone
	defer func() { time.Local = local }()
	for hours, want := range []string{"00:30", "01:30", "02:30 +02:00", "02:30 +01:00", "03:30"} {
		assert.Equal(t, want, moment(&analyze.Session{Started: &began}, analyze.Number(3600*hours)))
	}
}

// idling is a channel on which no charge has been seen.
func idling(volts, amps analyze.Number, stage live.Text) live.Channel {
	r := &live.Reading{AtS: 300, Volts: volts, Amps: amps, Celsius: analyze.Number(math.NaN()), AgeS: 1}
	return live.Channel{Name: "bench", Source: live.Source{Up: true, State: "open"}, Reading: r, LastReading: r, SilenceS: 60, Stage: stage}
}

// An alarm is told before there is any charge, as something that is, and no figures of a charge with it.
func TestAnAlarmWithoutAChargeIsTold(t *testing.T) {
	c := idling(-3.6, 0, "idle")
	c.Session = &analyze.Session{Outcome: analyze.NoCharge, Findings: []analyze.Finding{{
		Code: analyze.CodeReversePolarity, Severity: analyze.Alarm, EndS: analyze.Number(math.NaN()), Message: "the voltage is negative (-3.60 V)"}}}
	text, in := Sentence(&c)
	assert.Equal(t, "The voltage is negative: the leads are crossed, of the meter or of the charger.", text)
	assert.Equal(t, alarmed, in)
	screen := strings.Join(Lines(View{Channel: c}, Size{80, 24, false}), "\n")
	assert.Contains(t, screen, "!! the voltage is negative (-3.60 V)")
	assert.NotContains(t, screen, "Ah in")

	c.Session.Findings[0].EndS = 200
	text, _ = Sentence(&c)
	assert.Contains(t, text, "Not charging.", "the alarm is over")
}

// Current that flows is never called none, though its stage is not known yet: neither where there was no charge, nor
// after one.
func TestACurrentThatStartsIsTold(t *testing.T) {
	c := idling(12.9, 5, "idle")
	c.Starting = true
	for _, s := range []*analyze.Session{nil, {Outcome: analyze.NoCharge}, {Outcome: analyze.Complete}} {
		c.Session = s
		text, _ := Sentence(&c)
		assert.Equal(t, "Current flows, 5.00 A at 12.90 V. Too early to say which stage it is.", text)
	}
	c = idling(12.3, 0.004, "idle")
	text, _ := Sentence(&c)
	assert.Equal(t, "Not charging. The battery stands at 12.30 V.", text)
}
