package notify

import (
	"maps"
	"slices"
	"time"

	"amphora/analyze"
)

// ledger is all that is remembered: what was observed, what waits to be told, and
// what was told to whom. It asks no clock and does no I/O.
type ledger struct {
	Up         bool                  `json:"up"`   // false after a clean stop
	Seen       map[string]uint64     `json:"seen"` // the last record of each channel
	Conditions map[string]*condition `json:"conditions,omitempty"`
	Waiting    []Event               `json:"waiting,omitempty"`
	Lost       int                   `json:"lost"` // beyond what may wait
	Unsent     []*delivery           `json:"unsent,omitempty"`
	Budget     budget                `json:"budget"`

	rules Rules
	first time.Time // since when something waits
	dirty bool      // there is something that must outlast a crash
}

// delivery is a notification with those who have not got it yet.
type delivery struct {
	Note    Notification `json:"note"`
	Targets []string     `json:"targets"`
	// Alone: nothing may join it, since it was refused, or says how much was held back.
	Alone bool `json:"alone,omitempty"`

	since time.Time // when it was made, or when this program began
}

// Rules say what is told when.
type Rules struct {
	Quiet  Quiet         // hours in which only alarms are told
	Repeat time.Duration // of an alarm that nobody has acknowledged; 0 is never
}

const (
	// group is how long is waited for what comes along with the first event.
	group = 2 * time.Second
	// stale is how old something told from the journal may be and still matter,
	// and how long a message is tried.
	stale = 24 * time.Hour
	// forget is how long a condition that cleared is remembered. It must outlast
	// what a replay may tell.
	forget = 2 * stale
	// mostWaiting bounds what waits through quiet hours.
	mostWaiting = 500
)

func newLedger() *ledger {
	return &ledger{Seen: map[string]uint64{}, Conditions: map[string]*condition{}}
}

// observe takes what happened. What was observed before, and is told again by a
// replay, changes nothing.
func (l *ledger) observe(b *Batch, now time.Time) {
	if b.Seq != 0 {
		if b.Seq <= l.Seen[b.Channel] {
			return
		}
		l.Seen[b.Channel] = b.Seq
	}
	for _, e := range b.Events {
		l.event(e, b.Replay && now.Sub(e.At) > stale, now)
	}
}

func (l *ledger) event(e Event, old bool, now time.Time) {
	switch e.Kind {
	case Began:
		l.end(nil, now, func(c *condition) bool { return c.Event.Channel == e.Channel && c.Event.Episode != e.Episode })
		return
	case Ended:
		l.end(e.Summary, now, func(c *condition) bool { return c.Event.Channel == e.Channel && c.Event.Episode == e.Episode })
		return
	}
	c := l.condition(&e)
	switch {
	case e.Kind == Cleared && c != nil:
		c.fall(e.Summary, now)
		return
	case e.Kind == Cleared, c != nil && e.Kind == Complete: // it is so once
		return
	case c == nil:
		c = &condition{}
		l.Conditions[e.condition()] = c
	}
	told := c.rise(e, now)
	if e.Kind != Raised { // it happens, and is over at once
		c.Holds, c.AllClear = false, true
	}
	if told == nil {
		return
	}
	l.dirty = true
	if old {
		c.AllClear = true
		return
	}
	l.wait(*told, now)
}

// end lets conditions go that cannot hold any longer, with their charge. Only of alarms is
// that told: who was warned of a charge knows that it is over.
func (l *ledger) end(charge *analyze.Session, now time.Time, which func(*condition) bool) {
	for _, c := range l.Conditions {
		if c.Holds && c.Event.Episode != "" && which(c) {
			c.AllClear = c.AllClear || c.Severity != analyze.Alarm
			c.fall(charge, now)
			l.dirty = true
		}
	}
}

func (l *ledger) wait(e Event, now time.Time) {
	l.dirty = true
	if len(l.Waiting) == 0 || e.urgent() && !l.waits((*Event).urgent) {
		l.first = now // for an alarm, what has waited through the night is no company
	}
	if len(l.Waiting) >= mostWaiting && !e.urgent() {
		l.Lost++
		return
	}
	l.Waiting = append(l.Waiting, e)
}

// turn does what time alone brings about.
func (l *ledger) turn(now time.Time) {
	for _, key := range slices.Sorted(maps.Keys(l.Conditions)) {
		c := l.Conditions[key]
		if e := c.settled(now); e != nil {
			l.wait(*e, now)
		}
		if e := c.again(l.rules.Repeat, now); e != nil {
			l.wait(*e, now)
		}
		if !c.Holds && c.AllClear && now.Sub(c.Changed) > forget && now.Sub(c.Told) > forget {
			delete(l.Conditions, key)
		}
	}
}

// due is when the next message is to be made, zero while nothing waits. At the last
// moment it is not waited for what may come along.
func (l *ledger) due(now time.Time, last bool) time.Time {
	if len(l.Waiting) == 0 {
		return time.Time{}
	}
	at := l.first.Add(group)
	if last {
		at = now
	}
	urgent, news := l.waits((*Event).urgent), l.waits((*Event).news)
	if last && news {
		return now
	}
	if end := l.rules.Quiet.end(now); !urgent && end.After(at) {
		at = end
	}
	if free := l.Budget.free(now, urgent, news); free.After(now) && free.After(at) {
		at, l.Budget.Held = free, true
	}
	return at
}

// waits reports whether something of a kind waits to be told.
func (l *ledger) waits(kind func(*Event) bool) bool {
	return slices.ContainsFunc(l.Waiting, func(e Event) bool { return kind(&e) })
}

// may says what may be told now: in quiet hours what is urgent, else all.
func (l *ledger) may(now time.Time) func(*Event) bool {
	quiet := l.rules.Quiet.end(now).After(now)
	return func(e *Event) bool { return !quiet || e.urgent() }
}

// hold notes that what waits does so for the limit of messages an hour, and counts what did
// not before.
func (l *ledger) hold(now time.Time) (n int) {
	may := l.may(now)
	for k := range l.Waiting {
		if e := &l.Waiting[k]; may(e) && !e.held {
			e.held = true
			n++
		}
	}
	return n
}

// compose makes one message of all that may be told, for the targets named. What could not wait
// is counted in the one that leaves nothing.
func (l *ledger) compose(targets []string, now time.Time) {
	may, told, rest := l.may(now), []Event(nil), []Event(nil)
	for _, e := range l.Waiting {
		if may(&e) {
			told = append(told, e)
		} else {
			rest = append(rest, e)
		}
	}
	lost := l.Lost
	if len(rest) > 0 {
		lost = 0
	}
	held := l.Budget.Held
	n := newNotification(told, lost, held, now)
	l.Waiting, l.Lost, l.dirty = rest, l.Lost-lost, true
	l.Budget.spend(now)
	l.enqueue(n, held || lost > 0, targets, now)
}

// next is the first delivery to a target, nil if it has got everything.
func (l *ledger) next(target string) *delivery {
	for _, d := range l.Unsent {
		if slices.Contains(d.Targets, target) {
			return d
		}
	}
	return nil
}

// drop takes a target off a delivery: it has got it, or never will.
func (l *ledger) drop(d *delivery, target string) {
	d.Targets = slices.DeleteFunc(d.Targets, func(t string) bool { return t == target })
	if len(d.Targets) == 0 {
		l.Unsent = slices.DeleteFunc(l.Unsent, func(o *delivery) bool { return o == d })
	}
	l.dirty = true
}

// forgetTargets takes out whoever is not configured any more.
func (l *ledger) forgetTargets(names []string) {
	for _, d := range slices.Clone(l.Unsent) {
		for _, t := range slices.Clone(d.Targets) {
			if !slices.Contains(names, t) {
				l.drop(d, t)
			}
		}
	}
}

// postpone puts a delivery behind the others, so that one that is refused does not
// hold them up.
func (l *ledger) postpone(d *delivery) {
	d.Alone, l.dirty = true, true
	l.Unsent = append(slices.DeleteFunc(l.Unsent, func(o *delivery) bool { return o == d }), d)
}

// wake is when time alone will bring something about; zero is never.
func (l *ledger) wake(now time.Time) time.Time {
	at := l.due(now, false)
	for _, c := range l.Conditions {
		if !c.Holds && !c.AllClear {
			at = earlier(at, c.Changed.Add(settle))
		}
		if c.nags(l.rules.Repeat) {
			at = earlier(at, c.Told.Add(l.rules.Repeat))
		}
	}
	return at
}

// earlier is the earlier of two times, of which a zero one is never.
func earlier(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}
