package daemon

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// booked is a session of which the logbook knows where in the journal it began.
type booked struct {
	id           string
	records      stretch // of which it may have been told
	began, ended time.Time
	assigned     bool
	why          string // why it stays as it is; "" for one that is told anew
	asked        bool   // another would have taken its place, or there is damage in it
}

type bookedSessions []*booked

// bookedOf are those of a channel, in the order of the journal.
func bookedOf(ctx context.Context, book *logbook.Book, channel string) (all bookedSessions, err error) {
	for before := (logbook.Cursor{}); ; {
		page, err := book.Sessions(ctx, logbook.Filter{Channel: channel, Limit: logbook.LongestPage, Before: before})
		if err != nil {
			return nil, err
		}
		if len(page) == 0 {
			break
		}
		for k := range page {
			if p, err := placeOf(&page[k]); err == nil {
				b := &booked{id: page[k].Summary.ID, records: stretch{p.From, math.MaxUint64}, assigned: page[k].Assigned}
				b.began, b.ended = hours(&page[k].Summary)
				all = append(all, b)
			}
		}
		before = page[len(page)-1].Cursor()
	}
	slices.SortStableFunc(all, func(a, b *booked) int { return cmp.Compare(a.records.from, b.records.from) })
	for k := len(all) - 2; k >= 0; k-- {
		next := all[k+1].records
		if all[k].records.to = next.from; next.from == all[k].records.from {
			all[k].records.to = next.to
		}
	}
	return all, nil
}

// hours are from when to when current flowed, zero where no date is known.
func hours(s *analyze.Session) (began, ended time.Time) {
	length := float64(s.EndS - s.StartS)
	if s.Started == nil || !analyze.Known(length) {
		return began, ended
	}
	return *s.Started, s.Started.Add(time.Duration(length * 1e9))
}

func (all bookedSessions) of(id string) *booked {
	for _, b := range all {
		if b.id == id {
			return b
		}
	}
	return nil
}

// keep says why sessions stay as they are: what is left of their lines tells less.
func (all bookedSessions) keep(r *Retold) {
	for _, b := range all {
		b.why = r.harmIn(b.records)
		b.asked = b.why != ""
		if b.records.from < r.first {
			b.why = r.begins()
		}
	}
}

// instead is the session that stays in place of one that was told, nil where none does.
func (all bookedSessions) instead(t *Told) *booked {
	if b := all.of(t.Session.ID); b != nil {
		if b.why == "" {
			return nil
		}
		return b
	}
	began, ended := hours(&t.Session)
	for _, b := range all {
		dated := !began.IsZero() && !b.began.IsZero()
		if b.why != "" && (dated && began.Before(b.ended) && b.began.Before(ended) ||
			!dated && b.records.meets(stretch{t.from.From, t.until})) {
			return b
		}
	}
	return nil
}
