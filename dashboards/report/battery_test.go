package report

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/analyze/condition"
	"amphora/analyze/logbook"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// oldOne is a battery whose resistance rose by a third in a year.
func oldOne() *Battery {
	b := &Battery{Battery: logbook.Battery{Name: "old one", Chemistry: new(analyze.LeadAGM), Cells: new(6), CapacityAh: new(35.0), CapacityHours: new(20.0), Bought: "2023-05", Note: "=1+1"}}
	var sessions []analyze.Session
	var readings []condition.Reading
	for k := range 13 {
		began := evening.AddDate(0, k-12, 0)
		s := analyze.Session{
			ID: fmt.Sprintf("bench-%d", k), Started: &began, EndS: 30000, FinishS: 28000, Outcome: analyze.Complete, ChargeInAh: 12, ChargeInAhU95: 0.1,
			HeldV: 14.5, TailA: 0.35, MaxCelsius: 25, Stages: []analyze.Stage{{Stage: analyze.ConstantCurrent, EndS: 20000}},
			Resistance: []analyze.Resistance{{AtS: 30001, Ohm: analyze.Number(0.018 * (1 + float64(k)/36 + 0.02*float64(k%3))), OhmU95: 0.001}},
		}
		sessions = append(sessions, s)
		b.Sessions = append(b.Sessions, logbook.Session{Summary: s, Notes: []logbook.Note{{At: began, Text: "<i>warm</i>"}}})
	}
	b.Readings = []logbook.Reading{{At: evening, Volts: new(12.3), Remark: "+ loose"}}
	readings = append(readings, condition.Reading{At: evening, Volts: 12.3, Ohm: analyze.Unknown(), Gravity: analyze.Unknown(), Celsius: analyze.Unknown()})
	b.Condition = condition.Of(condition.Battery{Chemistry: analyze.LeadAGM, Cells: 6, Rated: 35 * 3600, RatedHours: 20}, sessions, readings)
	return b
}

func TestNumbersOfABatteryPage(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, oldOne().HTML(&b))
	found := words(t, b.String())
	all := strings.Join(found, "\n")
	testhelp.Golden(t, "testdata/battery.golden", all+"\n")
	assert.Contains(t, all, "<i>warm</i>", "text, not markup")
	assert.Regexp(t, `up 3\d %`, all)
	assert.Contains(t, all, "12 Ah in, over a charge factor of 1.10, are 10.9 Ah or 31 %")
	fits := strings.Count(b.String(), `<polyline class="fit"`)
	enough := 0
	for _, one := range oldOne().Condition.Trends {
		if one.Enough {
			enough++
		}
	}
	assert.Equal(t, enough, fits, "a line in every picture with enough points")
}

func TestABatteryWithoutAnythingHasAPage(t *testing.T) {
	var b bytes.Buffer
	empty := &Battery{Battery: logbook.Battery{Name: hostile}, Condition: condition.Of(condition.Battery{}, nil, nil)}
	require.NoError(t, empty.HTML(&b))
	assert.Contains(t, strings.Join(words(t, b.String()), "\n"), "Not enough data")
}

func TestConditionInWords(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Condition(&b, oldOne().Condition))
	text := b.String()
	assert.Contains(t, text, "Condition  It is")
	assert.Regexp(t, `resistance at the end of a full charge +mohm +13 +18\.\d+ +2[34]\.\d+ +\+3\d %`, text)
	assert.Contains(t, text, "not enough yet to follow, with the number of observations: capacity by charges from a known\n    state (1), rest voltage noted by hand (1)")
	for line := range strings.Lines(text) {
		assert.Less(t, len([]rune(line)), 160)
	}
}

func TestChartsOfLittle(t *testing.T) {
	assert.Empty(t, (*chart)(nil).SVG())
	assert.Empty(t, (&chart{}).SVG())
	assert.Contains(t, (&chart{about: `"<`, dots: []spot{{1, 1}}}).SVG(), `aria-label="&#34;&lt;"`)
	texts := func(list []mark) (s []string) {
		for _, m := range list {
			s = append(s, m.text)
		}
		return s
	}
	assert.Equal(t, []string{"12.8", "13.0", "13.2"}, texts(marks(12.75, 13.3, 5)))
	assert.Equal(t, []string{"Jan 2025", "Mar 2025", "May 2025", "Jul 2025", "Sep 2025", "Nov 2025", "Jan 2026"}, texts(dates(20089, 20480)))
}
