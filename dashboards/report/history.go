package report

import (
	"context"

	"amphora/analyze"
	"amphora/analyze/condition"
	"amphora/analyze/logbook"
)

// History is what the logbook holds of a battery, the newest charge first, and
// what it comes to. Of the charges only the latest so many are read where most
// is above 0.
func History(ctx context.Context, book *logbook.Book, b logbook.Battery, most int) (Battery, error) {
	h := Battery{Battery: b}
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
		if len(page) < filter.Limit || most > 0 && len(h.Sessions) >= most {
			break
		}
		filter.Before = page[len(page)-1].Cursor()
	}
	if most > 0 {
		h.Sessions = h.Sessions[:min(len(h.Sessions), most)]
	}
	h.Judge()
	return h, nil
}

// Judge works out the condition from the rest.
func (b *Battery) Judge() {
	charges := make([]analyze.Session, len(b.Sessions))
	for k := range b.Sessions {
		charges[k] = b.Sessions[k].Summary
	}
	b.Condition = condition.Of(b.label(), charges, b.byHand())
}

// label is what the battery's label says, in SI units; where it does not say of
// what kind the battery is, the last charge tells.
func (b *Battery) label() condition.Battery {
	var l condition.Battery
	for k := range b.Sessions {
		if s := &b.Sessions[k].Summary; s.Chemistry != "" {
			l.Chemistry, l.Cells = s.Chemistry, int(s.Cells)
			break
		}
	}
	told := &b.Battery
	if told.Chemistry != nil {
		l.Chemistry = *told.Chemistry
	}
	if told.Cells != nil {
		l.Cells = *told.Cells
	}
	if told.CapacityAh != nil {
		l.Rated = *told.CapacityAh * 3600
	}
	if told.CapacityHours != nil {
		l.RatedHours = *told.CapacityHours
	}
	return l
}

// byHand are the readings that people noted.
func (b *Battery) byHand() []condition.Reading {
	list := make([]condition.Reading, len(b.Readings))
	for k, r := range b.Readings {
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
