package daemon

import (
	"context"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// stored is what the logbook was last given of the session under way.
type stored struct {
	id   string
	from place
	at   time.Duration // boot clock
}

// store gives a session to the logbook. One that goes by another name now, since
// the clock was set only after it began, takes the place of the old. While the journal is
// replayed the logbook knows more of the session under way than has been told: it is
// stored at the end of that.
func (c *channel) store(s *analyze.Session, settled bool) {
	if s.Outcome == analyze.NoCharge {
		return
	}
	if c.stored.id != "" && c.stored.id != s.ID && !settled {
		c.books.drop(c.stored.id)
	}
	if c.stored.id == "" {
		c.stored.from = c.story.place(c.story.here())
	}
	c.stored.id = s.ID
	if c.story.replaying && !settled {
		return
	}
	session := logbook.Session{Summary: *s, JournalFrom: c.stored.from.String(), Settled: settled}
	c.books.put(session)
	if settled {
		c.keepShape(session)
	}
}

// storeRunning stores the session under way, or resting, as it stands.
func (c *channel) storeRunning() {
	if c.stored.id == "" {
		return
	}
	if s := c.current(); s != nil {
		c.store(s, false)
	}
}

func (c *channel) storeClosed() {
	if s := c.current(); s != nil && c.stored.id != "" {
		c.store(s, true)
	}
	c.settled()
}

// settled makes room for the next session. As long as the lines have not told which way
// the current counts, a session may have been none.
func (c *channel) settled() {
	if c.stored.id != "" && c.story.choosing() && !c.story.second.told {
		c.doubted = append(c.doubted, c.stored)
	}
	c.stored = stored{}
}

// takeBack takes out of the logbook what was told with a decoder that was the wrong one,
// and gives the place from which to tell it again.
func (c *channel) takeBack() place {
	from := c.story.place(c.story.account)
	if len(c.doubted) > 0 {
		from = c.doubted[0].from
	}
	for _, d := range append(c.doubted, c.stored) {
		if d.id != "" {
			c.books.drop(d.id)
		}
	}
	c.doubted, c.stored = nil, stored{}
	return from
}

// current is the session under way or resting, nil if there is none.
func (c *channel) current() *analyze.Session {
	if s := c.newest(); s.Outcome != analyze.NoCharge {
		return s
	}
	return nil
}

// shown is the current session or, where there is none, the one without a charge if
// something was found in it: crossed leads are to be seen before any current flows.
func (c *channel) shown() *analyze.Session {
	if s := c.newest(); s.Outcome != analyze.NoCharge || len(s.Findings) > 0 {
		return s
	}
	return nil
}

// newest is the last session of all, with or without a charge.
func (c *channel) newest() *analyze.Session {
	d := c.story.machine.Document()
	s := &d.Sessions[len(d.Sessions)-1]
	if s.Outcome != analyze.NoCharge {
		c.names.give(s)
	}
	return s
}

// writePlace puts down where a replay would have to begin, when that has moved.
// What lies before it must be on the disk, or a record could be told twice; and the charges
// before it in the logbook, or no replay would ever put them there.
func (c *channel) writePlace() {
	p := c.story.place(c.story.account)
	if p == c.placed || c.story.replaying {
		return
	}
	c.placed = p
	turn := c.places.next()
	c.books.then(func(context.Context) {
		c.tasks.Go(func() { c.keepPlace(turn, p) })
	})
}

// keepPlace writes a place down once all that lies before it is safe.
func (c *channel) keepPlace(turn int64, p place) {
	ctx, cancel := context.WithTimeout(c.until, time.Minute)
	defer cancel()
	if err := c.record.Sync(ctx); err != nil {
		return // the journal itself says so loudly; the old place is right, only slower
	}
	if settle(ctx, c.sinks) != nil {
		return // their disk refuses; from the old place all is handed over again
	}
	if err := c.places.write(turn, p, c.placeFile()); err != nil {
		c.log.Warn("cannot note the place in the journal; a restart will take longer", "channel", c.set.Name, "error", err)
	}
}
