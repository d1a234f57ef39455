package notify

import (
	"maps"
	"slices"
	"time"
)

// Status is how the telling goes.
type Status struct {
	Targets []TargetStatus
	// Dropped is how many batches of events came too fast to be taken.
	Dropped uint64
	// Unsent are the messages that somebody has not got yet, and what is held back one by one.
	Unsent []Unsent
}

// TargetStatus is how one target is doing.
type TargetStatus struct {
	Name    string
	Counts  map[string]uint64 // tries by result, since the program started
	Trouble string            // why the last try failed; empty if it did not
}

// Unsent is a message on its way.
type Unsent struct {
	Channels []string // concerned
	At       time.Time
	Trouble  string // of the first target that has one
}

// Status returns how the telling goes, without waiting.
func (c *Center) Status() Status {
	s := *c.status.Load()
	s.Dropped = c.dropped.Load()
	return s
}

// show makes the present state the one to be seen.
func (c *Center) show() {
	s := &Status{}
	trouble := map[string]string{}
	for _, a := range c.targets {
		t := TargetStatus{Name: a.name, Counts: maps.Clone(a.counts)}
		if a.trouble != nil {
			t.Trouble = a.trouble.Error()
		}
		trouble[a.name] = t.Trouble
		s.Targets = append(s.Targets, t)
	}
	for _, d := range c.ledger.Unsent {
		u := Unsent{At: d.Note.At}
		for _, e := range d.Note.Events {
			if !slices.Contains(u.Channels, e.Channel) {
				u.Channels = append(u.Channels, e.Channel)
			}
		}
		for _, t := range d.Targets {
			if u.Trouble == "" {
				u.Trouble = trouble[t]
			}
		}
		s.Unsent = append(s.Unsent, u)
	}
	for _, e := range c.ledger.Waiting {
		if e.held {
			s.Unsent = append(s.Unsent, Unsent{Channels: []string{e.Channel}, At: e.At, Trouble: "there were more than 12 messages in an hour, and it waits until others may go"})
		}
	}
	c.status.Store(s)
}
