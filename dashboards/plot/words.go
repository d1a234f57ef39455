package plot

import (
	"fmt"
	"math"
	"strings"

	"amphora/analyze"
)

// stageText is a stage's name, with its ampere-hours where some flowed.
func stageText(g analyze.Stage) string {
	if ah := float64(g.ChargeAh); analyze.Known(ah) && ah > 0 {
		return string(g.Stage) + " " + ampHours(ah)
	}
	return string(g.Stage)
}

// ampHours writes three digits, which is what most meters are good for.
func ampHours(ah float64) string { return digits(ah) + " Ah" }

func digits(x float64) string { return fmt.Sprintf("%.*f", decimals(x), x) }

// decimals is how many decimals make three digits of a number, at most three.
func decimals(x float64) int {
	if x == 0 {
		return 2
	}
	return min(max(2-int(math.Floor(math.Log10(math.Abs(x)))), 0), 3)
}

// duration writes a stretch of time as people say it.
func duration(s float64) string {
	if s < 120 {
		return fmt.Sprintf("%.0f s", s)
	}
	minutes := int(math.Round(s / 60))
	if minutes < 60 {
		return fmt.Sprintf("%d min", minutes)
	}
	return fmt.Sprintf("%d h %02d min", minutes/60, minutes%60)
}

// endOf is when and how a charge ended, briefly or with how long it took; no
// words for one that runs on or never was one.
func endOf(s analyze.Session, brief bool) (at float64, words string) {
	switch {
	case analyze.Known(s.FinishS):
		at, words = float64(s.FinishS), "end of charge"
	case s.Outcome == analyze.CutShort || s.Outcome == analyze.Faulted:
		at, words = float64(s.EndS), string(s.Outcome)
	}
	if took := at - float64(s.StartS); words != "" && !brief && analyze.Known(took) {
		words += ", after " + duration(took)
	}
	return at, words
}

// remark sums the sessions up in a line under the title.
func (p *page) remark() string {
	var parts []string
	if len(p.sessions) == 1 {
		parts = summary(p.sessions[0])
	} else if n := len(p.sessions); n > 1 {
		parts = append(parts, fmt.Sprintf("%d charges", n))
		total := 0.0
		for _, s := range p.sessions {
			total += float64(s.ChargeInAh)
		}
		if analyze.Known(total) {
			parts = append(parts, ampHours(total)+" in")
		}
	}
	switch {
	case p.leftOut == 1:
		parts = append(parts, "1 name left out for want of room")
	case p.leftOut > 1:
		parts = append(parts, fmt.Sprintf("%d names left out for want of room", p.leftOut))
	}
	return strings.Join(parts, "   ·   ")
}

func summary(s analyze.Session) []string {
	parts := []string{string(s.Outcome)}
	if s.Outcome == analyze.NoCharge {
		return parts
	}
	if ah, u := float64(s.ChargeInAh), float64(s.ChargeInAhU95); analyze.Known(ah) && analyze.Known(u) {
		fine := max(decimals(u)-1, 0) // two digits of an uncertainty say enough
		parts = append(parts, fmt.Sprintf("%.*f ± %.*f Ah in", fine, ah, fine, u))
	} else if analyze.Known(ah) {
		parts = append(parts, ampHours(ah)+" in")
	}
	if wh := float64(s.EnergyInWh); analyze.Known(wh) {
		parts = append(parts, digits(wh)+" Wh")
	}
	if v := float64(s.HeldV); analyze.Known(v) {
		parts = append(parts, fmt.Sprintf("held at %.2f V", v))
	}
	return parts
}
