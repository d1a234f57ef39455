package main

import (
	"fmt"
	"io"
	"strings"

	"amphora/analyze"
	"amphora/dashboards/report"
	"amphora/decoders"
)

// identity is how a log is laid out, and why we think so.
type identity struct {
	Source     string          `json:"source"`
	Baud       *int            `json:"baud"` // null for what is no port
	Decoder    string          `json:"decoder"`
	Setting    string          `json:"setting"` // to paste
	Layout     string          `json:"layout"`
	Separator  *string         `json:"separator"`
	Decimal    string          `json:"decimal"`
	Fields     []identityField `json:"fields"`
	Confidence analyze.Number  `json:"confidence"` // 0 to 1
	Share      analyze.Number  `json:"share"`      // of the lines, those that decode
	Evidence   []string        `json:"evidence"`
	RunnerUp   *string         `json:"runner_up"`
	Difference *string         `json:"difference"`
	Tried      []attempt       `json:"tried"` // line rates of a port
}

// identityField is one value of a line.
type identityField struct {
	Quantity string `json:"quantity"`
	Key      string `json:"key"` // number of the column from 1, or label
	Form     string `json:"form"`
	Negate   bool   `json:"negate"` // the current counts out of the battery
}

func (id *identity) fill(f *decoders.Fitted) {
	l := f.Layout
	id.Decoder, id.Setting, id.Layout = l.Kind, f.Setting, f.Columns
	id.Separator, id.Decimal = optional(separators[l.Separator]), "."
	if id.Separator == nil && l.Separator != 0 {
		id.Separator = optional(string(rune(l.Separator)))
	}
	if l.Decimal != 0 {
		id.Decimal = string(rune(l.Decimal))
	}
	id.Fields = []identityField{}
	for _, v := range l.Fields {
		id.Fields = append(id.Fields, identityField{v.Quantity.String(), v.Key, v.Form, v.Negate})
	}
	id.Confidence, id.Share, id.Evidence = analyze.Number(f.Confidence), analyze.Number(f.Share), orNone(f.Evidence)
	id.RunnerUp, id.Difference = optional(f.RunnerUp), optional(f.Difference)
}

// separators names those that one cannot see or would misread.
var separators = map[byte]string{',': "comma", ';': "semicolon", '\t': "tab", ' ': "blanks"}

func optional(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}

func (id *identity) page(w io.Writer) error {
	fmt.Fprintf(w, "%s: %s, %.0f %% sure; %.0f %% of the lines can be decoded\n",
		report.Clean(id.Source), report.Clean(id.Layout), float64(id.Confidence)*100, float64(id.Share)*100)
	type line struct{ lead, text string }
	var lines []line
	if id.Baud != nil {
		lines = append(lines, line{"rate", fmt.Sprintf("%d baud", *id.Baud)})
	}
	for n, e := range id.Evidence {
		lead := ""
		if n == 0 {
			lead = "because"
		}
		lines = append(lines, line{lead, e})
	}
	for _, a := range id.Tried[:max(0, len(id.Tried)-1)] {
		lines = append(lines, line{"tried", fmt.Sprintf("%d baud: %s", a.Baud, a.Heard)})
	}
	if id.Difference != nil {
		lines = append(lines, line{"next best", *id.Difference})
	}
	for _, l := range lines {
		if err := report.Paragraph(w, fmt.Sprintf("  %-11s", l.lead), l.text); err != nil {
			return err
		}
	}
	if id.RunnerUp != nil { // whole, so that it can be pasted too
		fmt.Fprintf(w, "  %-11s%s\n", "", report.Clean(*id.RunnerUp))
	}
	_, err := fmt.Fprintf(w, "\nFor --decoder, or in the daemon's configuration\n  decoder: %s\n", quoted(id.Setting))
	if err == nil && id.Baud != nil {
		port, _, _ := strings.Cut(strings.TrimPrefix(id.Source, "serial:"), "?")
		_, err = fmt.Fprintf(w, "  source: {serial: {port: %s, baud: %d}}\n", quoted(port), *id.Baud)
	}
	return err
}

// quoted is text as YAML takes it literally.
func quoted(text string) string { return "'" + strings.ReplaceAll(text, "'", "''") + "'" }
