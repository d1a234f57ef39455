package daemon

import (
	"context"
	"errors"
	"fmt"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// Rebuild puts what the journal tells into the logbook in place of what was found
// of it before. What people typed is not touched, nor are sessions whose lines
// are no longer kept. What somebody assigned to another battery is told as that one's.
func Rebuild(ctx context.Context, book *logbook.Book, data, name, decoder string, o analyze.Options, told []Told) (put, dropped int, err error) {
	keep := make(map[string]bool, len(told))
	for _, t := range told {
		keep[t.Session.ID] = true
		if err := book.PutSession(ctx, logbook.Session{Summary: t.Session, JournalFrom: t.from.String(), Settled: t.settled}); err != nil {
			return put, dropped, fmt.Errorf("put session %s: %w", t.Session.ID, err)
		}
		put++
	}
	if len(told) == 0 {
		return 0, 0, nil
	}
	for before := (logbook.Cursor{}); ; {
		page, err := book.Sessions(ctx, logbook.Filter{Channel: name, Limit: logbook.LongestPage, Before: before})
		if err != nil || len(page) == 0 {
			return put, dropped, err
		}
		for _, s := range page {
			p, err := placeOf(&s)
			if err == nil && !keep[s.Summary.ID] && p.From >= told[0].from.From {
				if err := book.DropSession(ctx, s.Summary.ID); err != nil {
					return put, dropped, err
				}
				dropped++
			} else if s.Assigned {
				if _, err := Assign(ctx, book, data, s, string(s.Summary.Battery), decoder, o); err != nil && !errors.Is(err, ErrNoRecord) {
					return put, dropped, err
				}
			}
		}
		before = page[len(page)-1].Cursor()
	}
}
