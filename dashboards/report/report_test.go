package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/dashboards/curve"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var evening = time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)

// night is a made-up night, judged, with its track.
func night(name string) (*Track, []analyze.Session) {
	n := madeup.Named(name)
	m := analyze.New(analyze.Options{Channel: "bench", Battery: "old one", Chemistry: n.Battery.Chemistry, Cells: n.Battery.Cells, Capacity: n.Battery.CapacityAh * 3600})
	track := NewTrack(true)
	for s := range n.Samples() {
		if s.Wall == 0 {
			s.Wall = evening.Add(time.Duration(s.At * float64(time.Second))).UnixNano()
		}
		m.Step(s)
		track.Take(m)
	}
	return track, m.Document().Sessions
}

func rendered(t testing.TB, c *Charge) string {
	var b bytes.Buffer
	require.NoError(t, c.HTML(&b))
	return b.String()
}

// words are a page's text, one element a line, without style and pictures. It
// fails where an element is not closed or an attribute not quoted.
func words(t testing.TB, html string) []string {
	d := xml.NewDecoder(strings.NewReader(html))
	d.Entity = xml.HTMLEntity
	var list []string
	for skip := ""; ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return list
		}
		require.NoError(t, err)
		switch x := token.(type) {
		case xml.StartElement:
			if n := x.Name.Local; skip == "" && (n == "style" || n == "svg") {
				skip = n
			}
			require.NotContains(t, []string{"script", "iframe", "object", "link", "base"}, x.Name.Local)
			for _, a := range x.Attr {
				require.False(t, strings.HasPrefix(a.Name.Local, "on"), "a handler: %s", a.Name.Local)
				if a.Name.Local == "src" || a.Name.Local == "href" {
					require.True(t, strings.HasPrefix(a.Value, "data:image/svg+xml;base64,"), "an address that is not in the page: %.60s", a.Value)
				}
			}
		case xml.EndElement:
			if x.Name.Local == skip {
				skip = ""
			}
		case xml.CharData:
			if text := strings.Join(strings.Fields(string(x)), " "); text != "" && skip == "" {
				list = append(list, text)
			}
		}
	}
}

func TestPagesAreWellFormedAndNeedNothingElse(t *testing.T) {
	for _, name := range []string{"mower-full", "lantern-peak", "mower-two-hour-timer"} {
		t.Run(name, func(t *testing.T) {
			track, sessions := night(name)
			html := rendered(t, &Charge{Title: name, Sessions: sessions, Track: track, Log: &analyze.Log{Source: name, Rows: 9, Used: 8,
				RejectedCount: 1, RejectedByReason: map[string]int{"blank current": 1}, Rejected: []analyze.Rejection{{Line: 17, Reason: "blank current"}}}})
			found := strings.Join(words(t, html), "\n")
			for _, s := range sessions {
				assert.Contains(t, found, ah(s.ChargeInAh))
				for _, f := range s.Findings {
					assert.Contains(t, found, f.Code)
					assert.Contains(t, found, meaning(&s, &f))
				}
			}
			assert.Contains(t, found, "blank current (first at line 17)")
			assert.Contains(t, found, "no safety device")
			assert.NotRegexp(t, regexp.MustCompile(`https?://`), strings.ReplaceAll(html, "http://www.w3.org", ""))
		})
	}
}

func TestNumbersOfAPage(t *testing.T) {
	track, session := plain()
	html := rendered(t, &Charge{Title: "mower", Sessions: []analyze.Session{session}, Track: track,
		Log: &analyze.Log{Source: "mower.log", Rows: 500, Used: 499, Decoder: "columns", Layout: "time_s, voltage_V, current_A", Meter: "current 1% + 3d"}})
	testhelp.Golden(t, "testdata/charge.golden", strings.Join(words(t, html), "\n")+"\n")
	assert.Equal(t, 2, strings.Count(html, "<svg class"), "the rest and the step of current")
	assert.Contains(t, html, `xml;base64,`, "and the whole curve")
}

// A log that may be read otherwise has that said where its answer is, not only at the end.
func TestAnAnswerSaysThatTheLogMayBeReadOtherwise(t *testing.T) {
	track, session := plain()
	c := Charge{Title: "mower", Sessions: []analyze.Session{session}, Track: track, Log: &analyze.Log{Source: "mower.log"}}
	assert.NotContains(t, rendered(t, &c), "read as it is meant")
	c.Log.Doubt = "it may also be that column 3 is the voltage"
	html := rendered(t, &c)
	assert.Contains(t, html, `<section class="answer mind">`)
	assert.Contains(t, html, "if the log was read as it is meant")
	assert.Contains(t, html, c.Log.Doubt)
}

// Without a charge nothing is known, but what was found still counts.
func TestAnAlarmWithoutAChargeIsOne(t *testing.T) {
	track, session := plain()
	session.Outcome = analyze.NoCharge
	for _, c := range []struct {
		severity analyze.Severity
		want     string
	}{{analyze.Note, "unknown"}, {analyze.Warning, "mind"}, {analyze.Alarm, "bad"}} {
		session.Findings = []analyze.Finding{{Code: analyze.CodeReversePolarity, Severity: c.severity}}
		html := rendered(t, &Charge{Title: "mower", Sessions: []analyze.Session{session}, Track: track})
		assert.Contains(t, html, `<section class="answer `+c.want+`">`)
		assert.Contains(t, html, "No charge to speak of")
	}
}

// plain is a charge that can be followed by hand: 2 A for 6 h, a taper of 2 h, and
// 2 h of rest.
func plain() (*Track, analyze.Session) {
	track := NewTrack(true)
	for k := range 600 {
		at := float64(k) * 60
		p := curve.Point{At: at, Volts: 12 + 2.5*min(at/21600, 1), Amps: 2, Celsius: 20}
		switch {
		case at > 28800:
			p.Volts, p.Amps = 12.8+0.7*math.Exp((28800-at)/2400), 0
		case at > 21600:
			p.Amps = 2 * math.Exp((21600-at)/3600)
		}
		track.curve.Add(p.At, p.Volts, p.Amps, p.Celsius)
	}
	track.foretold = []foretold{{14400, analyze.Forecast{FinishS: 27000, FinishSU95: 3600, ChargeInAh: 13.5}}}
	u := analyze.Number(analyze.Unknown())
	return track, analyze.Session{
		ID: "mower-1", Channel: "mower", Started: new(evening), StartS: 0, EndS: 28800, FinishS: 28800, Outcome: analyze.Complete, EndedBy: analyze.EndTailCurrent,
		ChargeInAh: 13.73, ChargeInAhU95: 0.16, ChargeInAhBudget: &analyze.ChargeBudget{Gain: 0.0793, Zero: 0.0104, Sampling: 0.0005}, EnergyInWh: 184, SetA: 2, HeldV: 14.5, PeakV: 14.5, TailA: 0.27,
		MaxCelsius: 20, Chemistry: analyze.LeadAGM, Cells: 6,
		Stages: []analyze.Stage{
			{Stage: analyze.ConstantCurrent, StartS: 0, EndS: 21600, ChargeAh: 12, EnergyWh: 159, MeanV: 13.25, MeanA: 2, Why: "2 A, the voltage rising"},
			{Stage: analyze.ConstantVoltage, StartS: 21600, EndS: 28800, ChargeAh: 1.73, EnergyWh: 25.1, MeanV: 14.5, MeanA: 0.865, Why: "14.5 V held"},
			{Stage: analyze.Rest, StartS: 28800, EndS: 35940, MeanV: 13}},
		Findings:   []analyze.Finding{{Code: analyze.CodeRunningLong, Severity: analyze.Warning, AtS: 28000, EndS: u, Message: "8 h are more than the 7 h set"}},
		Gaps:       []analyze.Gap{{StartS: 100, EndS: 400, ChargeAh: 0.1, ChargeAhU95: 0.05}},
		Rest:       &analyze.RestFit{DurationS: 7140, LastV: analyze.Number(12.8 + 0.7*math.Exp(-7140./2400)), SettledV: 12.80, SettledVU95: 0.05, StateOfCharge: 1, Method: "foretold from 2 h of rest"},
		Resistance: []analyze.Resistance{{AtS: 28830, Ohm: 0.025, OhmU95: 0.002, FromA: 0.27, ToA: 0, Method: "step of current"}},
		Capacity:   &analyze.Capacity{RatedAh: 35, AbsorbedFraction: 0.392, ChargeFactor: 1.1, DepthOfDischarge: 0.357},
	}
}

// How deeply a battery had been emptied shows only in a charge that made it full.
func TestWhatHadBeenTakenOutIsSaidOfFullBatteries(t *testing.T) {
	line := func(depth analyze.Number) string {
		var b bytes.Buffer
		require.NoError(t, Session(&b, analyze.Session{Capacity: &analyze.Capacity{RatedAh: 35, AbsorbedFraction: 0.392, DepthOfDischarge: depth}}))
		_, rest, _ := strings.Cut(b.String(), "of rated")
		rest, _, _ = strings.Cut(rest, "\n")
		return strings.TrimSpace(rest)
	}
	assert.Equal(t, "39 % of 35 Ah; about 36 % had been taken out", line(0.357))
	assert.Equal(t, "39 % of 35 Ah", line(analyze.Number(analyze.Unknown())))
}

// Of several steps the surest is told, and how sure it is.
func TestAResistanceIsToldWithItsUncertainty(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Session(&b, analyze.Session{Resistance: []analyze.Resistance{{Ohm: 0.027, OhmU95: 0.004}, {Ohm: 0.025, OhmU95: 0.002}}}))
	assert.Contains(t, b.String(), "  resistance 25 ± 2 mohm at a step of the current\n")
}

func TestEveryFindingHasAMeaning(t *testing.T) {
	source, err := os.ReadFile("../../analyze/findings.go")
	require.NoError(t, err)
	codes := regexp.MustCompile(`Code\w+ += "([a-z-]+)"`).FindAllStringSubmatch(string(source), -1)
	require.Greater(t, len(codes), 15)
	for _, c := range codes {
		assert.NotEmpty(t, meanings[c[1]], c[1])
	}
}

// What holds in a charge that goes on is told as something that is; else as something that was.
func TestWhatIsOverIsToldAsOver(t *testing.T) {
	holds := analyze.Finding{Code: analyze.CodeOverVoltage, EndS: analyze.Number(analyze.Unknown())}
	over := analyze.Finding{Code: analyze.CodeOverVoltage, EndS: 70}
	for outcome, now := range map[analyze.Outcome]bool{analyze.Running: true, analyze.Complete: false, analyze.NoCharge: false} {
		s := &analyze.Session{Outcome: outcome}
		assert.Equal(t, now, strings.HasPrefix(meaning(s, &holds), "The voltage is above"), outcome)
		assert.Contains(t, meaning(s, &over), "The voltage was above", outcome)
	}
	for code := range past {
		assert.NotEqual(t, Meanings()[code], PastMeanings()[code], code)
	}
}

const hostile = "<script>alert(1)</script>\"'&<!--\x00\x1b[31m\xff\u2028</style>"

func TestS4HostileNamesStayText(t *testing.T) {
	track, sessions := night("mower-full")
	s := &sessions[0]
	s.ID, s.Channel, s.Battery = hostile, hostile, hostile
	s.Findings = append(s.Findings, analyze.Finding{Code: hostile, Severity: hostile, Message: hostile})
	s.Stages[0].Why = hostile
	html := rendered(t, &Charge{Title: hostile, Sessions: sessions, Track: track, Log: &analyze.Log{Source: hostile, Layout: hostile, Decoder: hostile, Meter: hostile,
		RejectedCount: 1, RejectedByReason: map[string]int{hostile: 1}}})
	found := words(t, html)
	assert.Contains(t, strings.Join(found, "\n"), "<script>alert(1)</script>\"'&<!--[31m\uFFFD")
	assert.NotContains(t, html, "<script")
	assert.NotContains(t, html, "\x1b")
}

func TestWithoutRowsThePageSaysWhy(t *testing.T) {
	_, session := plain()
	found := words(t, rendered(t, &Charge{Title: "x", Sessions: []analyze.Session{session}, Untraced: "the raw record is no longer kept"}))
	assert.Contains(t, found, "No curve: the raw record is no longer kept.")
}

func TestForecastsAreHeldAgainstWhatCame(t *testing.T) {
	s := analyze.Session{StartS: 1000, FinishS: 11000, EndS: 12000, Outcome: analyze.Complete}
	track := NewTrack(false)
	for k, f := range []analyze.Forecast{{FinishS: 14000, FinishSU95: 3600, ChargeInAh: 20}, {FinishS: 11500, FinishSU95: 600, ChargeInAh: 21}, {FinishS: 10700, FinishSU95: 60, ChargeInAh: 21.5}} {
		track.foretold = append(track.foretold, foretold{1000 + 10000*[]float64{0.3, 0.5, 0.9}[k], f})
	}
	lines := againstWhatCame(track, &s)
	require.Len(t, lines, 3, "at 10 and 70 % nobody asked")
	assert.Equal(t, foretoldLine{"30 %", "1 h 07 min", "3 h 53 min ± 1 h 00 min", "3 h 03 min", "50 min 00 s earlier", "inside", "20 Ah"}, lines[0])
	assert.Equal(t, "8 min 20 s earlier", lines[1].Off)
	assert.Equal(t, []string{"5 min 00 s later", "outside"}, []string{lines[2].Off, lines[2].Inside})
	s.FinishS = unknown
	assert.Empty(t, againstWhatCame(track, &s), "nothing came")
}

func TestATrackKeepsFewForecastsOfEachCharge(t *testing.T) {
	track := NewTrack(false)
	for _, start := range []analyze.Number{0, 1_000_000} {
		before := len(track.foretold)
		s := analyze.Session{StartS: start, Forecast: &analyze.Forecast{FinishS: 1}}
		track.ask = 0
		for at := float64(start); at < float64(start)+400_000; at += 10 {
			if track.last = at; at >= track.ask {
				track.foretell(&s)
			}
		}
		kept := track.foretold[before:]
		assert.Less(t, len(kept), mostAsks)
		assert.Greater(t, len(kept), mostAsks/4)
		for k := 1; k < len(kept); k++ {
			assert.Less(t, kept[k].at-kept[k-1].at, 400_000/10.0, "often enough to find one near any tenth")
		}
	}
}

func TestShiftMovesAll(t *testing.T) {
	track, _ := plain()
	before := track.curve.Points(1 << 30)
	track.rows = []row{{Point: before[0]}}
	track.foretold = []foretold{{5, analyze.Forecast{FinishS: 50}}}
	track.Shift(100)
	assert.Equal(t, before[0].At+100, track.curve.Points(1 << 30)[0].At)
	assert.Equal(t, before[0].At+100, track.rows[0].At)
	assert.Equal(t, foretold{105, analyze.Forecast{FinishS: 150}}, track.foretold[0])
}
