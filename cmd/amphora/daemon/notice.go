package daemon

import (
	"fmt"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/capture/journal"
	"amphora/dashboards/notify"
)

// topic is what the messages of a channel are about, and what only a live channel
// can tell.
type topic struct {
	session string         // the charge under way or resting; empty outside of one
	start   analyze.Number // of it, s of the machine
	episode string

	replayed uint64 // rows that the journal told
	spoken   bool   // a row came since
	looked   bool   // at the disk
	fault    bool   // of it, as told
}

// closed leaves a charge, of which nothing more can be told.
func (t *topic) closed() {
	if t.session != "" {
		t.session, t.episode = "", t.session+" and after"
	}
}

// notice hands over what a record brought about. Nothing of it waits for anybody.
func (c *channel) notice(t *turn) {
	if c.notes == nil {
		return
	}
	if t.wall.IsZero() { // no record is behind it
		t.wall = c.clock.Wall()
	}
	b := notify.Batch{Channel: c.set.Name, Seq: t.seq, Replay: c.story.replaying}
	if t.closed {
		b.Events = append(b.Events, c.ended(c.about(), t.wall))
		c.topic.closed()
	}
	for k := range t.events {
		b.Events = append(b.Events, c.notesOf(&t.events[k], t.wall)...)
	}
	if len(b.Events) > 0 {
		c.notes.Tell(b)
	}
}

// note begins an event of this channel.
func (c *channel) note(k notify.Kind, at time.Time) notify.Event {
	return notify.Event{Kind: k, Channel: c.set.Name, Battery: c.set.Options.Battery, Session: c.topic.session, Episode: c.topic.episode, At: at.UTC(), Severity: analyze.Note}
}

// notesOf is what people may want to be told of an event.
func (c *channel) notesOf(e *analyze.Event, at time.Time) []notify.Event {
	switch e.Kind {
	case analyze.SessionBegan:
		c.topic.session, c.topic.start, c.topic.episode = e.Session.ID, e.Session.StartS, e.Session.ID
		return append([]notify.Event{c.note(notify.Began, at)}, c.held(e.Session, at)...)
	case analyze.StageBegan:
		if s := c.current(); e.Stage == analyze.Finish && s != nil {
			return []notify.Event{c.complete(s, at)}
		}
	case analyze.FindingRaised:
		if e.Finding.Severity != analyze.Note {
			return []notify.Event{c.raised(e.Finding, c.current(), at)}
		}
	case analyze.FindingCleared:
		s := e.Session
		if s == nil {
			s = c.about()
		}
		return []notify.Event{c.cleared(e.Finding.Code, s, at)}
	case analyze.SessionOver:
		return c.over(e.Session, at)
	case analyze.SessionClosed:
		all := append(c.over(e.Session, at), c.ended(e.Session, at))
		c.topic.closed()
		return all
	}
	return nil
}

// ofFlow are warnings that only a current keeps up. An alarm is not among them: that the
// current has stopped does not cool a battery.
var ofFlow = map[string]bool{
	analyze.CodeStalled: true, analyze.CodeRunningLong: true, analyze.CodeOverCapacity: true, analyze.CodeVoltageNotReached: true, analyze.CodeNoTaper: true,
}

// over is what is told of a charge that will not go on.
func (c *channel) over(s *analyze.Session, at time.Time) []notify.Event {
	all := c.held(s, at)
	for _, f := range s.Findings {
		if ofFlow[f.Code] {
			all = append(all, c.cleared(f.Code, s, at))
		}
	}
	if s.Outcome == analyze.Complete {
		all = append(all, c.complete(s, at))
	}
	return all
}

// held are the findings of a charge that still hold: some are seen only when it is
// looked at as a whole.
func (c *channel) held(s *analyze.Session, at time.Time) (all []notify.Event) {
	for _, f := range s.Findings {
		if f.Severity != analyze.Note && !analyze.Known(f.EndS) && !(ofFlow[f.Code] && s.Outcome != analyze.Running) {
			all = append(all, c.raised(f, s, at))
		}
	}
	return all
}

func (c *channel) raised(f analyze.Finding, s *analyze.Session, at time.Time) notify.Event {
	n := c.note(notify.Raised, at)
	n.Code, n.Severity, n.Message, n.Summary = f.Code, f.Severity, f.Message, s
	return n
}

func (c *channel) cleared(code string, s *analyze.Session, at time.Time) notify.Event {
	n := c.note(notify.Cleared, at)
	n.Code, n.Summary = code, s
	return n
}

// ended says that nothing can hold any more that was found of a charge.
func (c *channel) ended(s *analyze.Session, at time.Time) notify.Event {
	n := c.note(notify.Ended, at)
	n.Summary = s
	return n
}

// about is the charge that messages are about now; nil outside of one, and where the machine has gone on to the
// next by the time that they are written.
func (c *channel) about() *analyze.Session {
	if s := c.current(); c.topic.session != "" && s != nil && s.StartS == c.topic.start {
		return s
	}
	return nil
}

func (c *channel) complete(s *analyze.Session, at time.Time) notify.Event {
	n := c.note(notify.Complete, at)
	n.Code, n.Summary = "complete", s
	said := []string{fmt.Sprintf("%.2f Ah went in", float64(s.ChargeInAh))}
	if analyze.Known(s.ChargeInAhU95) {
		said[0] = fmt.Sprintf("%.2f Ah went in, give or take %.2f", float64(s.ChargeInAh), float64(s.ChargeInAhU95))
	}
	if done := s.FinishS; analyze.Known(done) {
		said = append(said, "it took "+analyze.Clock(float64(done-s.StartS)))
	}
	if analyze.Known(s.HeldV) {
		said = append(said, fmt.Sprintf("held at %.2f V", float64(s.HeldV)))
	}
	n.Message = strings.Join(said, "; ")
	return n
}

// recovered notes that the journal has been told, and tells of a charge that went on
// while the program was away after a crash.
func (c *channel) recovered() {
	c.topic.replayed = c.story.rows
	if c.notes == nil || !c.notes.Crashed() || c.story.idle() {
		return
	}
	n := c.note(notify.Recovered, c.clock.Wall())
	n.Code, n.Summary, n.Severity = "recovered", c.current(), analyze.Warning
	n.Message = "the program had not stopped cleanly; the charge is recorded further, and what was missed meanwhile is counted as a gap"
	if r := c.story.last; r.ok && analyze.Dated(r.wall) {
		n.Message += "; the last reading before was at " + analyze.TimeOfDay(r.wall.Local(), "15:04:05")
	}
	c.notes.Tell(notify.Batch{Channel: c.set.Name, Events: []notify.Event{n}})
}

// codeUnwritten is told where lines cannot be written to the disk.
const codeUnwritten = "journal-degraded"

// noteHealth tells that the disk refuses lines, or takes them again. After a start
// it says once how that is, and with the first reading that the meter is not silent:
// either may have changed while the program was away.
func (c *channel) noteHealth(h journal.Health) {
	if c.notes == nil {
		return
	}
	t, now := &c.topic, c.clock.Wall()
	if !t.spoken && c.story.rows > t.replayed {
		t.spoken = true
		c.notes.Tell(notify.Batch{Channel: c.set.Name, Events: []notify.Event{c.cleared(analyze.CodeMeterSilent, c.about(), now)}})
	}
	if fault := h.Fault != nil; fault != t.fault || !t.looked {
		t.fault, t.looked = fault, true
		trouble := ""
		if fault {
			trouble = "lines are kept in memory only, the disk refuses them: " + h.Fault.Error()
		}
		c.noteUnwritten(trouble, now)
	}
}

// noteUnwritten tells of a trouble with the journal, or, where it is empty, that it is over.
func (c *channel) noteUnwritten(trouble string, at time.Time) {
	n := c.note(notify.Cleared, at)
	n.Code, n.Episode = codeUnwritten, ""
	if trouble != "" {
		n.Kind, n.Severity, n.Message = notify.Raised, analyze.Warning, trouble
	}
	c.notes.Tell(notify.Batch{Channel: c.set.Name, Events: []notify.Event{n}})
}
