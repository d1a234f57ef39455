package daemon

import (
	"context"
	"fmt"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// Assign tells a recorded charge again as that of another battery, as its channel is set
// up; see the function Assign.
func (d *Daemon) Assign(ctx context.Context, id, battery string) (analyze.Session, error) {
	session, err := d.book.Session(ctx, id)
	if err != nil {
		return analyze.Session{}, err
	}
	o, decoder := d.settingOf(session.Summary.Channel)
	return Assign(ctx, d.book, d.cfg.Data, session, battery, decoder, o)
}

// Assign tells a charge again from the journal, as that of another battery, and writes it over
// the old one. o is how its channel is set up. The error is an ErrNoRecord where the lines are
// no longer kept, and a logbook.ErrUnsettled where the daemon may write it over again.
func Assign(ctx context.Context, book *logbook.Book, data string, session logbook.Session, battery, decoder string, o analyze.Options) (analyze.Session, error) {
	if !session.Settled {
		return analyze.Session{}, fmt.Errorf("session %q %w; change `battery:` of channel %s in the configuration, and reload",
			session.Summary.ID, logbook.ErrUnsettled, session.Summary.Channel)
	}
	if o.Battery != battery { // what was stated is of the channel's own
		o.Battery, o.Chemistry, o.Cells, o.Capacity, o.Tail = battery, "", 0, 0, analyze.Tail{}
	}
	known, err := labelOf(ctx, book, battery)
	if err != nil {
		return analyze.Session{}, err
	}
	told, err := toldAgain(ctx, data, session, decoder, known.on(o), known)
	if err != nil {
		return analyze.Session{}, err
	}
	return told.Session, book.PutSession(ctx, logbook.Session{
		Summary: told.Session, JournalFrom: told.from.String(), Settled: true, Assigned: true,
	})
}

// toldAgain is what the journal tells of one session, with what is known of a battery.
func toldAgain(ctx context.Context, data string, session logbook.Session, decoder string, o analyze.Options, known label) (Told, error) {
	p, err := placeOf(&session)
	if err != nil {
		return Told{}, err
	}
	o.Channel = session.Summary.Channel
	p.Label = known
	s := p.story(decoder, o)
	s.today = true
	if err := s.findChoice(data, o.Channel); err != nil {
		return Told{}, err
	}
	t := &teller{story: s, from: p}
	err = s.playBack(ctx, data, o.Channel, p.From, t.turn, func(uint64) bool { return !t.settled(session.Summary.ID) })
	if err != nil {
		return Told{}, err
	}
	t.last(true)
	for _, told := range t.told {
		if told.Session.ID == session.Summary.ID {
			return told, nil
		}
	}
	return Told{}, fmt.Errorf("session %q: %w", session.Summary.ID, ErrNoRecord)
}

// settled reports whether a session has been told to its end.
func (t *teller) settled(id string) bool {
	for _, told := range t.told {
		if told.Session.ID == id {
			return told.settled
		}
	}
	return false
}
