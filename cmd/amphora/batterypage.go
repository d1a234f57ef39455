package main

import (
	"fmt"
	"io"
	"time"

	"amphora/analyze/logbook"
	"amphora/dashboards/report"
)

// batteryTable lists batteries, one a line, with the last charge of each.
func batteryTable(w io.Writer, all []logbook.Battery, last map[string]logbook.Session, now time.Time) error {
	if len(all) == 0 {
		_, err := fmt.Fprintln(w, "no batteries; `amphora battery add NAME` adds one")
		return err
	}
	var rows [][]string
	for _, b := range all {
		state := "in use"
		if b.Retired != nil {
			state = "retired " + ago(*b.Retired, now)
		}
		rows = append(rows, []string{b.Name, value(b.Chemistry), value(b.Cells), float(b.CapacityAh, 1), float(b.ReserveMinutes, 1), string(b.Bought), state, lastCharge(last, b.Name, now), string(b.Where)})
	}
	return report.Table(w, []string{"name", "chemistry", "cells", "Ah", "reserve min", "bought", "state", "last charge", "where"}, rows)
}

// lastCharge says when a battery was last charged, and how that came out.
func lastCharge(last map[string]logbook.Session, name string, now time.Time) string {
	s, ok := last[name]
	if !ok || s.Summary.Started == nil {
		return ""
	}
	return ago(*s.Summary.Started, now) + ", " + string(s.Summary.Outcome)
}

const latestCharges = 10

func batteryPage(w io.Writer, h report.Battery, now time.Time) error {
	b := h.Battery
	rated := ""
	if b.CapacityAh != nil {
		rated = float(b.CapacityAh, 1) + " Ah"
		if b.CapacityHours != nil {
			rated += " over " + float(b.CapacityHours, 1) + " h"
		}
	}
	fmt.Fprintln(w, report.Clean(b.Name))
	for _, line := range [][2]string{
		{"chemistry", value(b.Chemistry)}, {"cells", value(b.Cells)}, {"capacity", rated}, {"reserve", unit(b.ReserveMinutes, "min")},
		{"bought", string(b.Bought)}, {"where", string(b.Where)}, {"note", string(b.Note)}, {"retired", retired(b, now)},
	} {
		if line[1] != "" {
			if err := report.Paragraph(w, fmt.Sprintf("  %-11s", line[0]), line[1]); err != nil {
				return err
			}
		}
	}
	fmt.Fprintln(w)
	if err := report.Condition(w, h.Condition); err != nil {
		return err
	}
	fmt.Fprintln(w)
	if err := readingTable(w, h.Readings, now); err != nil {
		return err
	}
	fmt.Fprintln(w)
	return sessionTable(w, h.Sessions[:min(len(h.Sessions), latestCharges)], now)
}

func retired(b logbook.Battery, now time.Time) string {
	if b.Retired == nil {
		return ""
	}
	return dated(*b.Retired, now) + ", " + ago(*b.Retired, now)
}
