package report

import (
	"fmt"
	"html/template"
	"math"
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

// foretoldLine is a forecast held against what came.
type foretoldLine struct {
	Share           string // of the charge that had passed
	Asked, Forecast string
	Came, Off       string
	Inside          string
	Ah              string
}

type budgetLine struct {
	Part, Ah, Share, How string
}

// chargePartOf puts one charge together.
func chargePartOf(t *Track, s *analyze.Session, title string, meter string) chargePart {
	c := chargePart{Title: title, Stages: s.Stages, Gaps: openGaps(s.Gaps)}
	c.Key = keyFacts(s)
	for _, f := range s.Findings {
		c.Findings = append(c.Findings, findingLine{f, meanings[f.Code]})
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
		if known(n) {
			list = append(list, fact{Name: name, Value: fmt.Sprintf(format, append([]any{float64(n)}, more...)...)})
		}
	}
	if s.Outcome != analyze.NoCharge {
		list = append(list, fact{Name: "lasted", Value: analyze.Clock(float64(s.EndS - s.StartS))})
	}
	list = append(list, fact{Name: "went in", Value: fmt.Sprintf("%s ± %.2g Ah", ah(s.ChargeInAh), float64(s.ChargeInAhU95))})
	add("energy in", s.EnergyInWh, "%.4g Wh")
	if s.ChargeOutAh >= 0.0005 {
		add("went out", s.ChargeOutAh, "%.3g Ah")
	}
	add("set current", s.SetA, "%.3g A")
	add("held at", s.HeldV, "%.2f V")
	add("current at the end", s.TailA, "%.3g A")
	add("highest voltage", s.PeakV, "%.2f V")
	add("warmest", s.MaxCelsius, "%.1f °C")
	if r := s.Rest; r != nil {
		add("settles at", r.SettledV, "%.2f ± %.2g V", float64(r.SettledVU95))
		add("state of charge after", 100*r.StateOfCharge, "%.0f %%")
	}
	if r, ok := surestOf(s.Resistance); ok {
		add("resistance", 1000*r.Ohm, "%.3g ± %.2g mohm", 1000*float64(r.OhmU95))
	}
	if c := s.Capacity; c != nil {
		add("of the rated capacity", 100*c.AbsorbedFraction, "%.0f %% of %.4g Ah", float64(c.RatedAh))
		add("had been taken out", 100*c.DepthOfDischarge, "about %.0f %%")
	}
	if s.Chemistry != "" {
		text := string(s.Chemistry)
		if s.Cells > 0 {
			text += ", " + count(s.Cells, "cell")
		}
		if s.ChemistryInferred {
			text += " (taken from the curve)"
		}
		list = append(list, fact{Name: "battery", Value: text})
	}
	return list
}

// againstWhatCame picks the forecasts at some parts of the charge.
func againstWhatCame(t *Track, s *analyze.Session) (list []foretoldLine) {
	if t == nil || !known(s.FinishS) {
		return nil
	}
	start, finish := float64(s.StartS), float64(s.FinishS)
	for _, share := range []float64{0.1, 0.3, 0.5, 0.7, 0.9} {
		aim := start + share*(finish-start)
		var near *foretold
		for k := range t.foretold {
			f := &t.foretold[k]
			if f.at > start && f.at < finish && (near == nil || math.Abs(f.at-aim) < math.Abs(near.at-aim)) {
				near = f
			}
		}
		if near == nil || math.Abs(near.at-aim) > 0.1*(finish-start) || !known(near.FinishS) {
			continue
		}
		off, u := finish-float64(near.FinishS), float64(near.FinishSU95)
		way := "later"
		if off < 0 {
			way = "earlier"
		}
		line := foretoldLine{
			Share: fmt.Sprintf("%.0f %%", 100*(near.at-start)/(finish-start)), Asked: analyze.Clock(near.at),
			Forecast: analyze.Clock(float64(near.FinishS)) + " ± " + analyze.Clock(u), Came: analyze.Clock(finish),
			Off: analyze.Clock(math.Abs(off)) + " " + way, Inside: "inside", Ah: number(near.ChargeInAh, "%.3g Ah"),
		}
		if math.Abs(off) > u {
			line.Inside = "outside"
		}
		list = append(list, line)
	}
	return list
}

func budgetLines(s *analyze.Session, meter string) []budgetLine {
	b := s.ChargeInAhBudget
	if b == nil {
		return nil
	}
	all := float64(b.Gain*b.Gain + b.Zero*b.Zero + b.Sampling*b.Sampling)
	line := func(part string, u analyze.Number, how string) budgetLine {
		share := "-"
		if all > 0 {
			share = fmt.Sprintf("%.0f %%", 100*float64(u*u)/all)
		}
		return budgetLine{part, small(float64(u)), share, how}
	}
	return []budgetLine{
		line("the meter's gain", b.Gain, "stated accuracy in proportion to the reading, a rectangular bound; the same error all night, so it does not average out ("+meter+")"),
		line("the meter's zero", b.Zero, "last digits and fixed part, over all the time with current; the same error all night"),
		line("sampling", b.Sampling, "noise of single readings, and steps of the current that fell between two rows; they average out"),
		{"together (k = 1)", small(math.Sqrt(all)), "100 %", "root of the sum of squares (JCGM 100)"},
		{"stated (k = 2)", small(float64(s.ChargeInAhU95)), "", "about 95 %"},
	}
}

// how says how each number was computed.
func how(s *analyze.Session, meter string) []fact {
	list := []fact{
		{"charge in", ah(s.ChargeInAh) + " Ah", "the current added up over measured intervals, by trapezoids, with steps where the rows say they fell; time without rows is not counted"},
		{"energy in", number(s.EnergyInWh, "%.4g Wh"), "the same of voltage times current"},
	}
	for _, g := range s.Stages {
		if g.Why != "" {
			list = append(list, fact{"stage " + string(g.Stage), at(g.StartS) + " to " + at(g.EndS), g.Why})
		}
	}
	if r := s.Rest; r != nil {
		list = append(list, fact{"rest", fmt.Sprintf("%.2f V after %s", float64(r.LastV), at(r.DurationS)), r.Method})
	}
	if r, ok := surestOf(s.Resistance); ok {
		list = append(list, fact{"resistance", fmt.Sprintf("%.3g mohm", 1000*float64(r.Ohm)), r.Method + surestWords(len(s.Resistance))})
	}
	if c := s.Capacity; c != nil && known(c.ChargeFactor) {
		f, _ := analyze.ChargeFactorOf(s.Chemistry)
		list = append(list, fact{"depth of discharge", number(100*c.DepthOfDischarge, "%.0f %%"),
			fmt.Sprintf("%s Ah over a charge factor of %.2f (%.2f to %.2f; %s) over the rated %.4g Ah; told of complete charges only", ah(s.ChargeInAh), float64(c.ChargeFactor), f.Low, f.High, f.Source, float64(c.RatedAh))})
	}
	return append(list, fact{"accuracy of the meter", "", meter})
}

// small writes an uncertainty with two digits.
func small(x float64) string {
	if x < 0.0001 {
		return "< 0.0001"
	}
	return fmt.Sprintf("%.2g", x)
}

func surestWords(n int) string {
	if n < 2 {
		return ""
	}
	return fmt.Sprintf("; the surest of %d", n)
}

// dated writes a time for the page, which may be read anywhere: in UTC, and says so.
func dated(t time.Time) string { return t.UTC().Format("2 January 2006, 15:04 UTC") }

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
