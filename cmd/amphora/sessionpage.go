package main

import (
	"fmt"
	"io"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/dashboards/report"
)

// noCharges says that a filter lets none through, and which it was: a mistyped name
// would else look like a battery that was never charged.
func noCharges(f logbook.Filter) string {
	text := "no charges recorded"
	if f.Battery != "" {
		text += fmt.Sprintf(" of a battery %q", f.Battery)
	}
	if f.Channel != "" {
		text += fmt.Sprintf(" on a channel %q", f.Channel)
	}
	return text
}

// sessionTable lists charges, one a line.
func sessionTable(w io.Writer, all []logbook.Session, now time.Time) error {
	if len(all) == 0 {
		_, err := fmt.Fprintln(w, noCharges(logbook.Filter{}))
		return err
	}
	var rows [][]string
	for _, one := range all {
		s := one.Summary
		began, past := "", ""
		if s.Started != nil {
			began, past = dated(*s.Started, now), ago(*s.Started, now)
		}
		rows = append(rows, []string{s.ID, began, past, s.Channel, string(s.Battery), string(s.Outcome),
			known(s.ChargeInAh, "%.2f"), lasted(s), report.Oddities(&s), noteCount(one.Notes)})
	}
	return report.Table(w, []string{"charge", "began", "", "channel", "battery", "outcome", "Ah in", "lasted", "findings", "notes"}, rows)
}

func sessionPage(w io.Writer, one logbook.Session, now time.Time) error {
	s := one.Summary
	past := ""
	if s.Started != nil {
		past = ", " + ago(*s.Started, now)
	}
	fmt.Fprintf(w, "%s: channel %s%s\n", report.Clean(s.ID), report.Clean(s.Channel), past)
	if !one.Settled {
		fmt.Fprintln(w, "not settled yet: it may still be revised")
	}
	if err := report.Session(w, s); err != nil {
		return err
	}
	if len(one.Notes) == 0 {
		return nil
	}
	fmt.Fprintln(w, "\nNotes")
	for _, n := range one.Notes {
		if err := report.Paragraph(w, "  "+dated(n.At, now)+"  ", string(n.Text)); err != nil {
			return err
		}
	}
	return nil
}

func lasted(s analyze.Session) string {
	d := float64(s.EndS - s.StartS)
	if !analyze.Known(d) {
		return ""
	}
	return analyze.Clock(d)
}

func noteCount(notes []logbook.Note) string {
	if len(notes) == 0 {
		return ""
	}
	return fmt.Sprint(len(notes))
}
