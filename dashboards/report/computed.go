package report

import (
	"fmt"
	"math"

	"amphora/analyze"
)

// budgetLine is one part of the uncertainty of a charge.
type budgetLine struct {
	Part, Ah, Share, How string
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
		{"charge in", ah(s.ChargeInAh) + " Ah", "the current added up over measured intervals, " + summedUp(s) + "; time without rows is not counted"},
		{"energy in", plainly(s.EnergyInWh, 4) + " Wh", "the same of voltage times current"},
	}
	for _, g := range s.Stages {
		if g.Why != "" {
			list = append(list, fact{"stage " + string(g.Stage), at(g.StartS) + " to " + at(g.EndS), g.Why})
		}
	}
	if r := s.RestBefore; r != nil {
		list = append(list, fact{"before the charge", stood(r), r.Method})
	}
	if r := s.Rest; r != nil {
		list = append(list, fact{"rest", fmt.Sprintf("%.2f V after %s", float64(r.LastV), at(r.DurationS)), r.Method})
	}
	if r, ok := surestOf(s.Resistance); ok {
		list = append(list, fact{"resistance", fmt.Sprintf("%.3g mohm", 1000*float64(r.Ohm)), r.Method + surestWords(len(s.Resistance))})
	}
	if len(s.DirectResistance) > 0 {
		r := &s.DirectResistance[0]
		list = append(list, fact{"direct current resistance", directly(r), r.Method})
	}
	if c := s.Capacity; c != nil && analyze.Known(c.ChargeFactor) {
		f, _ := analyze.ChargeFactorOf(s.Chemistry)
		list = append(list, fact{"depth of discharge", number(100*c.DepthOfDischarge, "%.0f %%"),
			fmt.Sprintf("%s Ah over a charge factor of %.2f (%.2f to %.2f; %s) over the rated %.4g Ah; told of complete charges only", ah(s.ChargeInAh), float64(c.ChargeFactor), f.Low, f.High, f.Source, float64(c.RatedAh))})
	}
	return append(list, fact{"accuracy of the meter", "", meter})
}

// summedUp is how the current was added up; of a charge that an earlier version kept, in general.
func summedUp(s *analyze.Session) string {
	if s.ChargeMethod == "" {
		return "by trapezoids, with steps where the rows say they fell"
	}
	return string(s.ChargeMethod)
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
