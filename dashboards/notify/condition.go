package notify

import (
	"fmt"
	"time"

	"amphora/analyze"
)

// condition is something that holds or held, and what was told of it. Observed and
// told are kept apart: a reading that dances on its limit is observed thousands of
// times and told of once.
type condition struct {
	Event    Event            `json:"event"` // as last observed
	Holds    bool             `json:"holds"`
	Changed  time.Time        `json:"changed"`  // when it last rose or cleared
	Severity analyze.Severity `json:"severity"` // as told
	Tellings int              `json:"tellings"` // of rises and repetitions
	Told     time.Time        `json:"told"`
	// AllClear: that it cleared was told, or need not be.
	AllClear     bool `json:"all_clear"`
	Acknowledged bool `json:"acknowledged"`
}

const (
	// settle is how long something must have cleared before that is told.
	settle = time.Minute
	// calm is how long it must have been clear before it counts as new when it
	// comes back; calmAlarm is the same of an alarm.
	calm      = time.Hour
	calmAlarm = 15 * time.Minute
)

// rise takes that the condition holds, and returns what is to be told, if anything.
func (c *condition) rise(e Event, now time.Time) *Event {
	back, away := !c.Holds, calm
	if e.Severity == analyze.Alarm {
		away = calmAlarm
	}
	news := c.Tellings == 0 || e.Severity.Worse(c.Severity) || back && c.AllClear && now.Sub(c.Changed) >= away
	c.Event = e
	c.Event.Summary = nil
	if back {
		c.Holds, c.Changed = true, now
	}
	if news || back && c.AllClear {
		c.Acknowledged = false // what was seen to was the time before
	}
	if !news {
		return nil
	}
	return c.tell(e, now)
}

// tell makes an event the one that was told last.
func (c *condition) tell(e Event, now time.Time) *Event {
	c.Tellings++
	c.Severity, c.Told, c.AllClear = e.Severity, now, false
	e.identify(c.Tellings)
	return &e
}

// fall takes that the condition holds no more, with the charge as it stood then; nil is not
// known. Nothing is told before it has stayed so for a while.
func (c *condition) fall(charge *analyze.Session, now time.Time) {
	if !c.Holds {
		return
	}
	c.Holds, c.Changed = false, now
	if !c.AllClear {
		c.Event.Summary = charge
	}
}

// settled returns the all-clear once it is due.
func (c *condition) settled(now time.Time) *Event {
	if c.Holds || c.AllClear || now.Sub(c.Changed) < settle {
		return nil
	}
	c.AllClear = true
	e := c.Event
	c.Event.Summary = nil
	e.Kind, e.Severity, e.At = Cleared, c.Severity, now
	since := ""
	if analyze.Dated(c.Changed) {
		since = " since " + analyze.TimeOfDay(c.Changed.In(now.Location()), "15:04")
	}
	e.Message = fmt.Sprintf("over%s; it was: %s", since, e.Message)
	e.identify(c.Tellings)
	return &e
}

// again returns the repetition of an alarm once it is due.
func (c *condition) again(every time.Duration, now time.Time) *Event {
	if !c.nags(every) || now.Sub(c.Told) < every {
		return nil
	}
	e := c.Event
	e.Kind, e.At = Repeated, now
	return c.tell(e, now)
}

// nags reports whether the condition is one to be repeated.
func (c *condition) nags(every time.Duration) bool {
	return every > 0 && c.Holds && c.Event.Severity == analyze.Alarm && !c.Acknowledged
}
