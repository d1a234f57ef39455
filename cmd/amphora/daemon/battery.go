package daemon

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture"
)

// What the logbook knows of a channel's battery is asked for when a charge has begun,
// so that a battery that was added or edited counts from the next charge on, and last
// night is looked back on tonight. The answer is put down in the journal as a remark
// behind the line at which it came: a replay then knows the same at the same line,
// whatever the logbook says by then.

// label is what a battery's label says, as far as the logbook has it.
type label struct {
	Asked      bool              `json:"asked,omitempty"`   // the logbook was asked, whatever it knew
	Battery    string            `json:"battery,omitempty"` // of which; nothing in what was written before this was noted
	Chemistry  analyze.Chemistry `json:"chemistry,omitempty"`
	Cells      int               `json:"cells,omitempty"`
	CapacityAh float64           `json:"capacity_ah,omitempty"`
}

// of reports whether it is the label of a battery. Somebody who has named the wrong one
// for the night says so in the configuration, and what is known of the other no longer
// counts, in the charge that is still told anew neither.
func (l label) of(battery string) bool { return l.Battery == "" || l.Battery == battery }

// on fills in what the settings do not say.
func (l label) on(o analyze.Options) analyze.Options {
	if o.Chemistry == "" {
		o.Chemistry = l.Chemistry
	}
	if o.Cells == 0 {
		o.Cells = l.Cells
	}
	if o.Capacity == 0 {
		o.Capacity = l.CapacityAh * 3600
	}
	return o
}

// memory is all that is known of a battery when a charge begins.
type memory struct {
	Label   label             `json:"label"`
	Earlier []analyze.Earlier `json:"earlier,omitempty"`
}

// memoryMark begins the remark by which the journal remembers it.
const memoryMark = "battery "

func (m *memory) mark(at *capture.Frame) capture.Frame {
	text, _ := json.Marshal(m) // numbers and strings always can
	return capture.Frame{Wall: at.Wall, Boot: at.Boot, Text: append([]byte(memoryMark), text...), Flags: capture.Marked}
}

// recalls reports whether a frame is such a remark, and takes it. It is no moment of
// the log: it must not part the lines of a burst.
func (s *story) recalls(f *capture.Frame) bool {
	if f.Flags&capture.Marked == 0 {
		return false
	}
	text, ok := strings.CutPrefix(string(f.Text), memoryMark)
	if !ok {
		return false
	}
	var m memory
	if json.Unmarshal([]byte(text), &m) != nil {
		return true // another version's; the label is as it was
	}
	if !m.Label.of(s.stated.Battery) {
		return true // of another battery; of this one the logbook is still to be asked
	}
	if s.today {
		m.Label = s.label
	}
	s.asking = false
	s.know(m)
	s.machine.Learn(s.opt)
	return true
}

// know takes what is known of the battery, for the machine and those after it.
func (s *story) know(m memory) {
	limits := s.opt.Limits // which may have been set meanwhile
	s.label = m.Label
	s.opt = m.Label.on(s.stated)
	s.opt.Limits = limits
	if m.Earlier != nil {
		s.opt.Earlier = m.Earlier
	}
}

// ask asks the logbook once all that waits to be written there is: last night's
// session among it.
func (c *channel) ask() {
	c.story.asking = false
	battery := c.set.Options.Battery
	if battery == "" {
		return
	}
	last := c.shapeKept
	c.books.then(func(ctx context.Context) {
		if last != nil {
			<-last // last night's curve is looked at too; a file that cannot be written ends as well
		}
		m, err := remembered(ctx, c.books.book, c.data, battery)
		if err != nil {
			c.log.Warn("cannot look up the battery in the logbook; forecasts will be wider", "battery", battery, "error", err)
			return
		}
		c.mu.Lock()
		defer c.mu.Unlock()
		c.heard = &m
	})
}

// remember puts what the logbook answered into the journal and the story, before the
// frame that comes next. Only who takes the frames may do this, so that the story
// hears all in the order of the journal.
func (c *channel) remember(next *capture.Frame) {
	c.mu.Lock()
	m := c.heard
	c.heard = nil
	c.mu.Unlock()
	if m == nil {
		return
	}
	f := m.mark(next)
	seq := c.record.Append(f)
	c.mu.Lock()
	defer c.mu.Unlock()
	c.story.frame(seq, &f, c.boot, c.turn)
	c.status.stale = true
}

// remembered asks the logbook of a data folder all about a battery.
func remembered(ctx context.Context, book *logbook.Book, data, battery string) (m memory, err error) {
	if m.Label, err = labelOf(ctx, book, battery); err == nil {
		m.Earlier, err = earlierNights(ctx, book, data, battery)
	}
	return m, err
}

// labelOf is empty for a battery that the logbook does not know.
func labelOf(ctx context.Context, book *logbook.Book, battery string) (label, error) {
	l := label{Asked: true, Battery: battery}
	if battery == "" {
		return l, nil
	}
	b, err := book.Battery(ctx, battery)
	switch {
	case errors.Is(err, logbook.ErrNotFound):
		return l, nil
	case err != nil:
		return l, fmt.Errorf("battery %q: %w", battery, err)
	}
	if b.Chemistry != nil {
		l.Chemistry = *b.Chemistry
	}
	if b.Cells != nil {
		l.Cells = *b.Cells
	}
	if b.CapacityAh != nil {
		l.CapacityAh = *b.CapacityAh
	}
	return l, nil
}

// Knowing fills in what the logbook knows of a battery and the settings do not
// say. A battery that it does not know changes nothing.
func Knowing(ctx context.Context, book *logbook.Book, o analyze.Options) (analyze.Options, error) {
	l, err := labelOf(ctx, book, o.Battery)
	return l.on(o), err
}
