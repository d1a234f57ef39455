package report

import (
	"fmt"
	"html/template"
	"io"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/analyze/condition"
	"amphora/analyze/logbook"
	"amphora/analyze/plan"
)

// Battery is what a report on a battery is made of.
type Battery struct {
	Battery   logbook.Battery
	Readings  []logbook.Reading
	Sessions  []logbook.Session
	Condition condition.Condition
}

// batteryPart is a battery on the page.
type batteryPart struct {
	Facts    []fact
	Verdict  condition.Verdict
	Trends   []trendPart
	Capacity *condition.Capacity
	Depths   []condition.Depth
	Sessions []sessionLine
	Readings []readingLine
}

type trendPart struct {
	condition.Trend
	Picture template.HTML
}

type sessionLine struct {
	analyze.Session
	Odd   string
	Notes []logbook.Note
}

type readingLine struct {
	At                          time.Time
	Volts, Ohm, Gravity, Degree string
	Remark, Means               string
}

// looks gives a battery's state its look on the page.
var looks = map[condition.State]string{
	condition.NotEnoughData: "unknown", condition.NoSign: "good", condition.Ageing: "mind",
	condition.NearReplacement: "mind", condition.Replace: "bad",
}

const latestDepths = 12

// HTML writes the report as one page that needs no other file and no network.
func (b *Battery) HTML(w io.Writer) error {
	part := &batteryPart{Facts: batteryFacts(&b.Battery), Verdict: b.Condition.Verdict, Capacity: b.Condition.Capacity, Depths: b.Condition.Depths}
	part.Depths = part.Depths[max(0, len(part.Depths)-latestDepths):]
	for _, t := range b.Condition.Trends {
		part.Trends = append(part.Trends, trendPart{t, trendChart(&t).SVG()})
	}
	for _, s := range b.Sessions {
		part.Sessions = append(part.Sessions, sessionLine{s.Summary, Oddities(&s.Summary), s.Notes})
	}
	for _, r := range b.Readings {
		part.Readings = append(part.Readings, readingLine{r.At, given(r.Volts, 1), given(r.Ohm, 1000), given(r.Gravity, 1), given(r.Celsius, 1), string(r.Remark), string(r.Means)})
	}
	p := page{Kind: "Battery", Title: b.Battery.Name, Battery: part, State: looks[b.Condition.Verdict.State], Answer: b.Condition.Verdict.Text}
	p.Sub = fmt.Sprintf("%s and %s in the logbook", count(len(b.Sessions), "charge"), count(len(b.Readings), "reading"))
	for _, e := range b.Condition.Verdict.Evidence {
		text := upperFirst(e.Text)
		if e.Source != "" {
			text += ". " + upperFirst(e.Source)
		}
		p.Telling = append(p.Telling, text+".")
	}
	if c := b.Battery.Chemistry; c != nil {
		p.Cautions = plan.Cautions(*c)
	} else {
		p.Cautions = plan.Cautions("")
	}
	return p.write(w)
}

func batteryFacts(b *logbook.Battery) (list []fact) {
	add := func(name, value string) {
		if value != "" {
			list = append(list, fact{Name: name, Value: value})
		}
	}
	if b.Chemistry != nil {
		add("chemistry", string(*b.Chemistry))
	}
	if b.Cells != nil {
		add("cells", fmt.Sprint(*b.Cells))
	}
	if b.CapacityAh != nil {
		rated := given(b.CapacityAh, 1) + " Ah"
		if b.CapacityHours != nil {
			rated += " over " + given(b.CapacityHours, 1) + " h"
		}
		add("rated", rated)
	}
	if b.ReserveMinutes != nil {
		add("reserve", given(b.ReserveMinutes, 1)+" min")
	}
	add("bought", string(b.Bought))
	add("where", string(b.Where))
	if b.Retired != nil {
		add("retired", dated(*b.Retired))
	}
	add("note", string(b.Note))
	return list
}

// Oddities names the findings that are no mere notes.
func Oddities(s *analyze.Session) string {
	var codes []string
	for _, f := range s.Findings {
		if f.Severity.Worse(analyze.Note) {
			codes = append(codes, f.Code)
		}
	}
	return strings.Join(codes, ", ")
}

// given writes a number that may be absent.
func given(x *float64, times float64) string {
	if x == nil {
		return "-"
	}
	return cell(*x*times, 4)
}
