package terminal

import (
	"fmt"
	"strings"

	"amphora/analyze"
	"amphora/dashboards/curve"
	"amphora/dashboards/live"
	"amphora/dashboards/report"
)

// View is what is shown.
type View struct {
	Channel live.Channel
	Points  []curve.Point // in order of time
	Remark  string        // what is wrong with the watching itself; empty for nothing
	Keys    string        // what can be pressed
}

// Size is the room there is.
type Size struct {
	Width, Height int  // columns and lines
	Colour        bool // or bold and plain only
}

const (
	leastWidth  = 24
	leastHeight = 6
	digitLines  = 3
)

// Lines gives the screen: at most Height lines, none wider than Width columns but
// for the marks of colour in it. Text from outside has no control characters.
func Lines(v View, s Size) []string {
	s.Width, s.Height = max(s.Width, leastWidth), max(s.Height, leastHeight)
	p := painter{s.Colour}
	c := &v.Channel
	text, mood := Sentence(c)
	var top, bottom []string
	top = append(top, p.paint(faint, cut(title(c), s.Width)))
	for _, l := range wrapped(text, s.Width, 2) {
		top = append(top, p.paint(mood, l))
	}
	if s.Height >= 16 {
		top = append(top, "")
		top = append(top, figures(c, s.Width, p)...)
	} else {
		top = append(top, p.paint(bold, cut(plainFigures(c), s.Width)))
	}
	top = append(top, wrapped(account(c), s.Width, 2)...)

	room := s.Height - len(top) - 1
	findings := findingsOf(c, s.Width, max(1, room/3), p)
	bottom = append(bottom, findings...)
	if v.Remark != "" {
		bottom = append(bottom, p.paint(warned, cut(report.Clean(v.Remark), s.Width)))
	}
	bottom = append(bottom, p.paint(faint, cut(v.Keys, s.Width)))
	if high := s.Height - len(top) - len(bottom); high >= 4 {
		top = append(top, chart(v.Points, c.Session, s.Width, high, p)...)
	}
	all := append(top, bottom...)
	return all[:min(len(all), s.Height)]
}

// title names the channel and its source.
func title(c *live.Channel) string {
	name := c.Name
	if c.Battery != "" {
		name += ", " + string(c.Battery)
	}
	return report.Clean("amphora  " + name + "  |  " + c.Source.Name + ": " + c.Source.State)
}

// account is what has gone in, and how long it took.
func account(c *live.Channel) string {
	var parts []string
	if s := c.Charge(); s != nil && analyze.Known(s.ChargeInAh) {
		parts = append(parts, within(s.ChargeInAh, s.ChargeInAhU95)+" Ah in")
		if analyze.Known(s.EnergyInWh) {
			parts = append(parts, fmt.Sprintf("%.1f Wh", float64(s.EnergyInWh)))
		}
	}
	if c.Stage != "" && !c.Starting {
		stage := string(c.Stage)
		if r := c.LastReading; r != nil && analyze.Known(c.StageSinceS) && analyze.Known(r.AtS) {
			stage += " for " + analyze.Clock(float64(r.AtS-c.StageSinceS))
		}
		parts = append(parts, stage)
	}
	if r := c.LastReading; r != nil && analyze.Known(r.Celsius) {
		parts = append(parts, fmt.Sprintf("%.1f °C", float64(r.Celsius)))
	}
	refused := 0
	for _, n := range c.RejectedByReason {
		refused += n
	}
	if refused > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d rows refused", refused, c.Rows))
	}
	return strings.Join(parts, " | ")
}

// findingsOf are those that hold, the worst first, then as many others as fit.
func findingsOf(c *live.Channel, width, most int, p painter) []string {
	if c.Session == nil {
		return nil
	}
	var lines []string
	for _, worst := range []analyze.Severity{analyze.Alarm, analyze.Warning, analyze.Note} {
		for _, f := range c.Session.Findings {
			if f.Severity != worst || analyze.Known(f.EndS) && worst != analyze.Note {
				continue
			}
			mark := map[analyze.Severity]string{analyze.Alarm: "!! ", analyze.Warning: "!  ", analyze.Note: "-  "}[worst]
			for k, l := range wrapped(f.Message, width-len(mark), 3) {
				if k > 0 {
					mark = "   "
				}
				lines = append(lines, p.paint(moods[worst], mark+l))
			}
		}
	}
	return lines[:min(len(lines), most)]
}

// cut keeps what fits in a line.
func cut(text string, width int) string {
	runes := []rune(text)
	if len(runes) <= width {
		return text
	}
	return string(runes[:max(0, width-1)]) + "…"
}

// wrapped breaks text between words, into at most so many lines.
func wrapped(text string, width, most int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(report.Clean(text)) {
		switch {
		case line == "":
			line = word
		case len([]rune(line))+1+len([]rune(word)) <= width:
			line += " " + word
		default:
			lines = append(lines, cut(line, width))
			line = word
		}
	}
	lines = append(lines, cut(line, width))
	if len(lines) > most {
		lines = lines[:most]
		lines[most-1] = cut(lines[most-1]+" …", width)
	}
	return lines
}
