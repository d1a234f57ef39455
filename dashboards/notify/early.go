package notify

import (
	"maps"
	"slices"
)

// What is found in the first minutes of a current is of no charge yet. Once that is one, the same is found in it: it is
// told of once, and clears once.

// condition is the one that an event is of, which may have come before its charge was one; nil where there is none.
func (l *ledger) condition(e *Event) *condition {
	key := e.condition()
	if c := l.Conditions[key]; c != nil || e.Kind != Raised && e.Kind != Cleared {
		return c
	}
	for _, early := range slices.Sorted(maps.Keys(l.Conditions)) {
		if c := l.Conditions[early]; c.Event.Channel == e.Channel && c.Event.Code == e.Code && !c.AllClear {
			delete(l.Conditions, early)
			l.Conditions[key] = c
			return c
		}
	}
	return nil
}
