package daemon

import (
	"context"
	"errors"
	"fmt"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// Told is a session that a channel's journal tells of.
type Told struct {
	Session analyze.Session
	from    place
	settled bool
}

// Retell replays a channel's whole journal and returns the sessions in it, the
// oldest first, as the analysis of today sees them.
func Retell(ctx context.Context, data, name, decoder string, o analyze.Options) ([]Told, error) {
	o.Channel = name
	s := newStory(decoder, o)
	s.today = true
	t := &teller{story: s}
	if err := replay(ctx, data, name, 1, s, t.turn, func(uint64) {}); err != nil {
		return nil, err
	}
	s.lastTry(t.turn)
	t.last(false)
	return t.told, nil
}

// lastTry fits decoders at last, where the journal holds no word of any: it was
// written by a daemon that never understood the source.
func (s *story) lastTry(sink func(turn)) {
	if s.two == nil {
		if s.stream == nil {
			s.fit.nextN = 1
			if setting, ok := s.fit.try(0); ok {
				s.adopt(setting, sink)
			}
		}
		return
	}
	for k := range s.two.ears {
		if e := &s.two.ears[k]; e.stream == nil {
			e.fit.nextN = 1
			if setting, ok := e.fit.try(e.only); ok {
				s.hearWith(e, setting, sink)
			}
		}
	}
}

// teller collects sessions as a story goes on.
type teller struct {
	story *story
	told  []Told
	open  bool // the last one may still be revised
	from  place
}

func (t *teller) turn(u turn) {
	if u.closed {
		t.last(true)
		t.open = false
	}
	for k := range u.events {
		switch e := &u.events[k]; e.Kind {
		case analyze.SessionClosed:
			t.put(e.Session, true)
			t.open = false
		case analyze.SessionBegan:
			t.from = t.story.place(t.story.here())
			t.put(e.Session, false)
		}
	}
	t.story.machine.Drain()
}

func (t *teller) put(s *analyze.Session, settled bool) {
	told := Told{Session: *s, from: t.from, settled: settled}
	if t.open {
		t.told[len(t.told)-1] = told
		return
	}
	t.told = append(t.told, told)
	t.open = true
}

// last puts the session under way, or resting, as it stands.
func (t *teller) last(settled bool) {
	d := t.story.machine.Document()
	if s := &d.Sessions[len(d.Sessions)-1]; s.Outcome != analyze.NoCharge {
		if !t.open {
			t.from = t.story.place(t.story.here())
		}
		t.put(s, settled)
	}
}

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
