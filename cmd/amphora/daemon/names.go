package daemon

import (
	"context"
	"slices"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// names are those under which the logbook holds charges that were not finished when
// the program began, or that its replay tells once more, since how far it had come could
// not be noted. A replay begins with less experience of the meter than the
// program had when it first saw such a charge begin, and may date the beginning some
// rows earlier or later. The charge is the same, and keeps the name and the date that
// people know it by.
type names []known

type known struct {
	id       string
	started  time.Time
	finished bool // only a replay can tell of it again
}

// sameStart is how far apart two datings of one beginning can be: a charger that
// starts softly takes minutes to it.
const sameStart = 5 * time.Minute

// named asks the logbook for them, if the replay begins with such a record. Without an
// answer a charge may get a second name, which is no reason not to record it.
func (c *channel) named(ctx context.Context, from uint64) (all names) {
	const few = 8
	page, err := c.books.book.Sessions(ctx, logbook.Filter{Channel: c.set.Name, Limit: few})
	if err != nil {
		c.log.Warn("cannot look up unfinished charges in the logbook; one may be listed twice", "channel", c.set.Name, "error", err)
	}
	for _, s := range page {
		p, err := placeOf(&s)
		if again := err == nil && p.From >= from; s.Summary.Started != nil && (again || !s.Settled) {
			all = append(all, known{s.Summary.ID, *s.Summary.Started, s.Settled})
		}
	}
	return all
}

// replayed leaves those of charges that may still go on: the one under way, and those
// that were not finished.
func (n names) replayed(underWay string) names {
	return slices.DeleteFunc(n, func(k known) bool { return k.finished && k.id != underWay })
}

// give gives a charge its name.
func (n names) give(s *analyze.Session) {
	if s == nil || s.Started == nil {
		return
	}
	for _, k := range n {
		if s.Started.Sub(k.started).Abs() <= sameStart {
			s.ID, s.Started = k.id, new(k.started)
			return
		}
	}
}
