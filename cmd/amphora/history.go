package main

import (
	"context"

	"amphora/analyze"
	"amphora/analyze/condition"
	"amphora/analyze/logbook"
	"amphora/dashboards/report"
)

// historyOf is all that the logbook holds of a battery, the newest charge first,
// and what it comes to.
func historyOf(ctx context.Context, book *logbook.Book, b logbook.Battery) (report.Battery, error) {
	h := report.Battery{Battery: b}
	var err error
	if h.Readings, err = book.Readings(ctx, b.Name); err != nil {
		return h, err
	}
	filter := logbook.Filter{Battery: b.Name, Limit: logbook.LongestPage}
	for {
		page, err := book.Sessions(ctx, filter)
		if err != nil {
			return h, err
		}
		h.Sessions = append(h.Sessions, page...)
		if len(page) < filter.Limit {
			break
		}
		filter.Before = page[len(page)-1].Cursor()
	}
	return judged(h), nil
}

// judged fills in the condition.
func judged(h report.Battery) report.Battery {
	h.Condition = condition.Of(labelOf(h), summaries(h.Sessions), conditionReadings(h.Readings))
	return h
}

// labelOf is what the battery's label says, in SI units; where it does not say of
// what kind the battery is, the last charge tells.
func labelOf(h report.Battery) condition.Battery {
	var l condition.Battery
	b := h.Battery
	for k := range h.Sessions {
		if s := &h.Sessions[k].Summary; s.Chemistry != "" {
			l.Chemistry, l.Cells = s.Chemistry, s.Cells
			break
		}
	}
	if b.Chemistry != nil {
		l.Chemistry = *b.Chemistry
	}
	if b.Cells != nil {
		l.Cells = *b.Cells
	}
	if b.CapacityAh != nil {
		l.Rated = *b.CapacityAh * 3600
	}
	if b.CapacityHours != nil {
		l.RatedHours = *b.CapacityHours
	}
	return l
}

func conditionReadings(all []logbook.Reading) []condition.Reading {
	list := make([]condition.Reading, len(all))
	for k, r := range all {
		list[k] = condition.Reading{At: r.At, Ohm: orUnknown(r.Ohm), Volts: orUnknown(r.Volts), Gravity: orUnknown(r.Gravity), Celsius: orUnknown(r.Celsius)}
	}
	return list
}

func orUnknown(x *float64) float64 {
	if x == nil {
		return analyze.Unknown()
	}
	return *x
}
