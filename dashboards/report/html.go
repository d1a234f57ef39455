package report

import (
	"bytes"
	"crypto/sha256"
	_ "embed" // for the template and its style
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"
	"sync"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/plan"
)

//go:embed page.html.tmpl
var pageText string

//go:embed page.css
var pageStyle string

// pageTemplate is parsed when it is first needed, as most commands write no page.
var pageTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("page").Funcs(template.FuncMap{
		"at": at, "ah": ah, "n": number, "lasted": func(from, to analyze.Number) string { return at(to - from) },
		"date": func(t *time.Time) string {
			if t == nil {
				return ""
			}
			return dated(*t)
		},
		"day": dated,
	}).Parse(pageText))
})

// Policy is the Content-Security-Policy under which a report shows as it should:
// its own style, by its hash, and the pictures within it.
func Policy() string {
	sum := sha256.Sum256([]byte(pageStyle))
	return "default-src 'none'; img-src data:; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// Charge is what a report on a log or on a recorded charge is made of.
type Charge struct {
	Title    string       // the file, or the charge's ID
	Log      *analyze.Log // nil for a recorded charge, whose log is the journal
	Sessions []analyze.Session
	Track    *Track // nil where the rows are no longer kept
	Untraced string // why Track is nil
	Notes    []logbook.Note
}

// HTML writes the report as one page that needs no other file and no network.
func (c *Charge) HTML(w io.Writer) error {
	p := page{Kind: "Recorded charge", Title: c.Title, Log: c.Log, NoPicture: c.Untraced}
	meter := "as configured for the channel; see the uncertainty's parts"
	if c.Log != nil {
		p.Kind, meter = "Charge log", c.Log.Meter
		p.Refused = refused(c.Log)
	}
	if c.Track != nil {
		var err error
		if p.Picture, err = picture(c.Title, c.Track, c.Sessions); err != nil {
			return err
		}
	}
	for k := range c.Sessions {
		s := &c.Sessions[k]
		title := upperFirst(outcomes[s.Outcome])
		if len(c.Sessions) > 1 {
			title = fmt.Sprintf("Charge %d of %d: %s", k+1, len(c.Sessions), outcomes[s.Outcome])
		}
		part := chargePartOf(c.Track, s, title, meter)
		if k == len(c.Sessions)-1 {
			part.Notes = c.Notes
		}
		p.Charges = append(p.Charges, part)
	}
	p.Sub = spanOf(c.Sessions)
	p.State, p.Answer, p.Telling = answer(c.Sessions)
	if c.Log != nil && c.Log.Doubt != "" {
		p.Answer += " All this holds if the log was read as it is meant: what else it may be stands below, with the log."
		if p.State == "good" {
			p.State = "mind"
		}
	}
	p.Cautions = plan.Cautions(chemistryOf(c.Sessions))
	return p.write(w)
}

// write fills the template in, whole or not at all.
func (p *page) write(w io.Writer) error {
	p.CSS = template.CSS(pageStyle)
	p.Title = printable(p.Title)
	var b bytes.Buffer
	if err := pageTemplate().Execute(&b, p); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	_, err := w.Write([]byte(printable(b.String())))
	return err
}

// printable drops what no page may hold: control characters, and what is no UTF-8.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return r
		case r < ' ' || r >= 0x7f && r < 0xa0 || r == 0xfffe || r == 0xffff:
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}

// refused counts the rows that were not used, by reason.
func refused(l *analyze.Log) (list []fact) {
	for _, r := range reasonsOf(l) {
		list = append(list, fact{Name: r, Value: count(l.RejectedByReason[r], "row"), How: strings.TrimSpace(firstLine(*l, r))})
	}
	return list
}

// spanOf says when the charges were, where the log knows.
func spanOf(sessions []analyze.Session) string {
	for k := range sessions {
		if s := sessions[k].Started; s != nil {
			return dated(*s)
		}
	}
	return "The log knows no date; times count from its first row."
}

func chemistryOf(sessions []analyze.Session) analyze.Chemistry {
	for k := len(sessions) - 1; k >= 0; k-- {
		if sessions[k].Chemistry != "" {
			return sessions[k].Chemistry
		}
	}
	return ""
}
