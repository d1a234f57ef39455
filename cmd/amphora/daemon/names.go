package daemon

import (
	"context"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// names are those under which the logbook holds charges that were not finished when
// the program began. A replay begins with less experience of the meter than the
// program had when it first saw such a charge begin, and may date the beginning some
// rows earlier or later. The charge is the same, and keeps the name and the date that
// people know it by.
type names []known

type known struct {
	id      string
	started time.Time
}

// sameStart is how far apart two datings of one beginning can be: a charger that
// starts softly takes minutes to it.
const sameStart = 5 * time.Minute

// unfinished asks the logbook for them. Without an answer a charge may get a second
// name, which is no reason not to record it.
func (c *channel) unfinished(ctx context.Context) (all names) {
	const few = 8
	page, err := c.books.book.Sessions(ctx, logbook.Filter{Channel: c.set.Name, Limit: few})
	if err != nil {
		c.log.Warn("cannot look up unfinished charges in the logbook; one may be listed twice", "channel", c.set.Name, "error", err)
	}
	for _, s := range page {
		if !s.Settled && s.Summary.Started != nil {
			all = append(all, known{s.Summary.ID, *s.Summary.Started})
		}
	}
	return all
}

// give gives a charge its name.
func (n names) give(s *analyze.Session) {
	if s == nil || s.Started == nil {
		return
	}
	for _, k := range n {
		if s.Started.Sub(k.started).Abs() <= sameStart {
			started := k.started
			s.ID, s.Started = k.id, &started
			return
		}
	}
}
