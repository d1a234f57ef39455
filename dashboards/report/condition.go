package report

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"amphora/analyze"
	"amphora/analyze/condition"
)

// Condition writes how a battery stands, with evidence and trends, as a short page
// in plain words.
func Condition(w io.Writer, c condition.Condition) error {
	var b bytes.Buffer // to write into it never fails
	say := func(lead, text string) { _ = Paragraph(&b, lead, text) }
	say("Condition  ", c.Verdict.Text)
	for _, e := range c.Verdict.Evidence {
		text := e.Text
		if e.Source != "" {
			text += ". Source: " + e.Source
		}
		say("  - ", text)
	}
	if len(c.Depths) > 0 {
		say("  - ", "last complete charge: "+c.Depths[len(c.Depths)-1].Words)
	}
	var rows [][]string
	var lacking []string
	for _, t := range c.Trends {
		if !t.Enough {
			lacking = append(lacking, fmt.Sprintf("%s (%d)", t.Name, len(t.Points)))
			continue
		}
		rows = append(rows, []string{t.Name, t.Unit, fmt.Sprint(len(t.Points)), number(t.First, "%.4g"), number(t.Last, "%.4g"), percent(t.Change),
			fmt.Sprintf("%s to %s", percent(t.ChangeLow), percent(t.ChangeHigh))})
	}
	if len(lacking) > 0 {
		say("  - ", "not enough yet to follow, with the number of observations: "+strings.Join(lacking, ", "))
	}
	if len(rows) > 0 {
		fmt.Fprintln(&b)
		_ = Table(&b, []string{"over time", "unit", "n", "first", "by now", "change", "95 % interval"}, rows)
	}
	_, err := w.Write(b.Bytes())
	return err
}

func percent(share analyze.Number) string { return number(100*share, "%+.0f %%") }
