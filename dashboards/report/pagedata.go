package report

import (
	"fmt"
	"html/template"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/plan"
)

// fact is a number with its name, and how it came about.
type fact struct{ Name, Value, How string }

// page is all that the template shows.
type page struct {
	Kind, Title, Sub string
	State            string // good, mind, bad or unknown: the look of the answer
	Answer           string
	Telling          []string // what speaks for it
	CSS              template.CSS
	Log              *analyze.Log
	Refused          []fact
	Picture          template.URL
	NoPicture        string
	Charges          []chargePart
	Battery          *batteryPart
	Cautions         []plan.Caution
}

// chargePart is one charge on the page.
type chargePart struct {
	Title    string
	Key      []fact
	Stages   []analyze.Stage
	Findings []findingLine
	Foretold []foretoldLine
	Rest     template.HTML
	RestSays string
	Step     template.HTML
	StepSays string
	Budget   []budgetLine
	How      []fact
	Gaps     []analyze.Gap
	Notes    []logbook.Note
}

type findingLine struct {
	analyze.Finding
	Means string
}

// chargePartOf puts one charge together.
func chargePartOf(t *Track, s *analyze.Session, title string, meter string) chargePart {
	c := chargePart{Title: title, Stages: s.Stages, Gaps: openGaps(s.Gaps)}
	c.Key = keyFacts(s)
	for _, f := range s.Findings {
		c.Findings = append(c.Findings, findingLine{f, meaning(s, &f)})
	}
	c.Foretold = againstWhatCame(t, s)
	c.Rest, c.Step = restChart(t, s).SVG(), stepChart(t, s).SVG()
	if s.Rest != nil {
		c.RestSays = fmt.Sprintf("%.2f V when last seen, after %s. Solid: measured; dashed: the fit, and how it goes on; shaded: where it may go (95 %%).", float64(s.Rest.LastV), at(s.Rest.DurationS))
	}
	if r, ok := surestOf(s.Resistance); ok {
		c.StepSays = fmt.Sprintf("%.3g mohm, give or take %.2g mohm, when the current went from %.3g to %.3g A at %s. Dots: measured; dashed: the part that answered at once.",
			1000*float64(r.Ohm), 1000*float64(r.OhmU95), float64(r.FromA), float64(r.ToA), at(r.AtS))
	}
	c.Budget = budgetLines(s, meter)
	c.How = how(s, meter)
	return c
}

// openGaps are those in which something may have flowed.
func openGaps(all []analyze.Gap) (list []analyze.Gap) {
	for _, g := range all {
		if g.ChargeAh != 0 || g.ChargeAhU95 != 0 {
			list = append(list, g)
		}
	}
	return list
}

func keyFacts(s *analyze.Session) []fact {
	var list []fact
	add := func(name string, n analyze.Number, format string, more ...any) {
		if analyze.Known(n) {
			list = append(list, fact{Name: name, Value: fmt.Sprintf(format, append([]any{float64(n)}, more...)...)})
		}
	}
	if s.Outcome != analyze.NoCharge {
		list = append(list, fact{Name: "lasted", Value: analyze.Clock(float64(s.EndS - s.StartS))})
	}
	list = append(list, fact{Name: "went in", Value: fmt.Sprintf("%s ± %s Ah", ah(s.ChargeInAh), plainly(s.ChargeInAhU95, 2))})
	if analyze.Known(s.EnergyInWh) {
		list = append(list, fact{Name: "energy in", Value: plainly(s.EnergyInWh, 4) + " Wh"})
	}
	if s.ChargeOutAh >= 0.0005 {
		add("went out", s.ChargeOutAh, "%.3g Ah")
	}
	add("set current", s.SetA, "%.3g A")
	add("held at", s.HeldV, "%.2f V")
	add("current at the end", s.TailA, "%.3g A")
	add("highest voltage", s.PeakV, "%.2f V")
	add("warmest", s.MaxCelsius, "%.1f °C")
	if r := s.RestBefore; r != nil {
		list = append(list, fact{Name: "before it", Value: stood(r)})
	}
	if r := s.Rest; r != nil {
		add("settles at", r.SettledV, "%.2f ± %.2g V", float64(r.SettledVU95))
		add("state of charge after", 100*r.StateOfCharge, "%.0f %%")
	}
	if r, ok := surestOf(s.Resistance); ok {
		add("resistance", 1000*r.Ohm, "%.3g ± %.2g mohm", 1000*float64(r.OhmU95))
	} else if len(s.DirectResistance) > 0 {
		list = append(list, fact{Name: "resistance", Value: directly(&s.DirectResistance[0])})
	}
	if c := s.Capacity; c != nil {
		add("of the rated capacity", 100*c.AbsorbedFraction, "%.0f %% of %.4g Ah", float64(c.RatedAh))
		add("had been taken out", 100*c.DepthOfDischarge, "about %.0f %%")
	}
	if kind := kindOf(s); kind != "" {
		list = append(list, fact{Name: "battery", Value: kind})
	}
	return list
}

// dated writes a time for the page, which may be read anywhere: in UTC, and says so.
func dated(t time.Time) string { return t.UTC().Format("2 January 2006, 15:04 UTC") }

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
