package notify

import (
	"slices"
	"time"
)

// A target tries one message after the other, so what waits behind the first was never tried. What comes along
// joins it there: who was out of reach all night has two messages in the morning rather than twenty. The first keeps
// to itself, for it may have arrived, and the receiver knows it by its ID.

// enqueue has a message sent to targets: with the last one that waits behind another, where there is one, else by
// itself, as one must that is alone.
func (l *ledger) enqueue(n Notification, alone bool, targets []string, now time.Time) {
	var behind []string
	if k := len(l.Unsent); k > 0 && !alone {
		last := l.Unsent[k-1]
		for _, t := range last.Targets {
			if last.mayJoin(&n) && slices.Contains(targets, t) && l.next(t) != last {
				behind = append(behind, t)
			}
		}
		if len(behind) > 0 {
			l.Unsent = append(l.Unsent, &delivery{Note: last.Note.and(&n, now), Targets: behind, since: now})
			for _, t := range behind {
				l.drop(last, t)
			}
		}
	}
	if rest := without(targets, behind); len(rest) > 0 {
		l.Unsent = append(l.Unsent, &delivery{Note: n, Targets: rest, Alone: alone, since: now})
	}
}

// mayJoin reports whether a message may go out with another, which spells out all of both.
func (d *delivery) mayJoin(n *Notification) bool {
	return !d.Alone && len(d.Note.Events)+len(n.Events) <= mostLines
}

// and is one message of two.
func (n *Notification) and(later *Notification, now time.Time) Notification {
	both := newNotification(slices.Concat(n.Events, later.Events), 0, false, now)
	for _, of := range []*Notification{n, later} {
		for k := range of.Sessions {
			both.add(&of.Sessions[k])
		}
	}
	return both
}

// without is a list of names without some of them.
func without(names, some []string) []string {
	return slices.DeleteFunc(slices.Clone(names), func(name string) bool { return slices.Contains(some, name) })
}
