package daemon

import (
	"context"
	"errors"
	"fmt"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// Rebuilt is what a rebuild has done to the logbook.
type Rebuilt struct {
	Put     int
	Dropped int      // that the journal does not tell of
	Kept    int      // as they were, of whose lines the journal does not hold all
	Notes   []string // which those are, and why
}

// Rebuild puts what the journal tells into the logbook in place of what was found
// of it before. What people typed is not touched, nor are sessions whose lines
// are no longer kept, or are damaged: they were told of all of them. What somebody assigned to
// another battery is told as that one's.
func Rebuild(ctx context.Context, book *logbook.Book, data, name, decoder string, o analyze.Options, r *Retold) (done Rebuilt, err error) {
	if len(r.Told) == 0 {
		return done, nil
	}
	all, err := bookedOf(ctx, book, name)
	if err != nil {
		return done, err
	}
	told := make(map[string]bool, len(r.Told))
	for k := range r.Told {
		t := &r.Told[k]
		told[t.Session.ID] = true
		if b := all.of(t.Session.ID); b != nil {
			b.records.to = min(b.records.to, t.until)
		}
	}
	all.keep(r)
	for k := range r.Told {
		t := &r.Told[k]
		if b := all.instead(t); b != nil {
			b.asked = true
			continue
		}
		if err := book.PutSession(ctx, logbook.Session{Summary: t.Session, JournalFrom: t.from.String(), Settled: t.settled}); err != nil {
			return done, fmt.Errorf("put session %s: %w", t.Session.ID, err)
		}
		done.Put++
	}
	for _, b := range all {
		switch {
		case b.why != "":
			if b.asked {
				done.Kept++
				done.Notes = append(done.Notes, fmt.Sprintf("%s stays in the logbook as it is: %s", b.id, b.why))
			}
		case !told[b.id] && b.records.from >= r.Told[0].from.From:
			if err := book.DropSession(ctx, b.id); err != nil {
				return done, err
			}
			done.Dropped++
		case b.assigned:
			if err := assignAgain(ctx, book, data, b.id, decoder, o); err != nil {
				return done, err
			}
		}
	}
	return done, nil
}

// assignAgain tells a session again as that of the battery to which somebody assigned it.
func assignAgain(ctx context.Context, book *logbook.Book, data, id, decoder string, o analyze.Options) error {
	s, err := book.Session(ctx, id)
	if err != nil {
		return err
	}
	if _, err := Assign(ctx, book, data, s, string(s.Summary.Battery), decoder, o); err != nil && !errors.Is(err, ErrNoRecord) {
		return err
	}
	return nil
}
