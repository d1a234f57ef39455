package daemon

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"amphora/capture/journal"
)

func (c *channel) placeFile() string { return placeFile(c.data, c.set.Name) }

func placeFile(data, name string) string {
	return filepath.Join(data, "state", journal.FolderName(name)+".json")
}

// recall replays what the journal holds since the place written down, so that the
// channel goes on as if it had not been away.
func (c *channel) recall(ctx context.Context) error {
	p, _ := readPlace(c.placeFile()) // what is wrong with it was said
	c.placed, c.skip = p, c.unsent()
	c.names = c.named(ctx, p.From)
	defer func() { c.skip, c.names = nil, c.names.replayed(c.stored.id) }()
	err := c.tell(ctx, p)
	if c.story.asking {
		c.ask() // the answer did not come before the end
	}
	return err
}

// tell tells the story anew from a place.
func (c *channel) tell(ctx context.Context, p place) error {
	o := c.set.Options
	o.Limits = c.inForce
	if !p.Label.Asked || !p.Label.of(o.Battery) {
		p.Label = c.label
	}
	c.story = p.story(c.set.Decoder, o)
	c.story.shape, c.story.row, c.out = newShape(), c.reading, boxed()
	var harm harm
	c.story.damaged = harm.add
	err := replay(ctx, c.data, c.set.Name, p.From, c.story, c.turn, func(seq uint64) {
		c.send(seq)
		c.wait(ctx)
	})
	if harm.places > 0 {
		c.log.Warn("the journal is damaged, and what it lost is missing from what is told of it; `amphora journal verify` names all of it",
			"channel", c.set.Name, "places", harm.places, "records", harm.records, "first", harm.first)
	}
	if err == nil {
		c.storeRunning()
	}
	return err
}

// harm is the damage that was met while a journal was read. The end of a torn tail is no part of
// it: that was told of when it was set aside.
type harm struct {
	places  int
	records uint64
	first   *journal.Damage
}

func (h *harm) add(d *journal.Damage) {
	if errors.Is(d, journal.ErrMissing) || errors.Is(d, journal.ErrTorn) {
		return
	}
	if h.places == 0 {
		h.first = d
	}
	h.places++
	h.records += d.Lost
}

// replay tells a story from the journal; each is called behind every record. Damage
// is passed over, and told to the story's damaged.
func replay(ctx context.Context, data, name string, from uint64, s *story, sink func(turn), each func(seq uint64)) error {
	if s.choosing() {
		if err := s.hearChoice(data, name, from, decoderMark); err != nil {
			return fmt.Errorf("replay channel %q: %w", name, err)
		}
	}
	return s.playBack(ctx, data, name, from, sink, func(seq uint64) bool {
		each(seq)
		return true
	})
}

// playBack takes a channel's records out of the journal, from a number on, as long as there is
// more to be heard. However it ends, what comes then is no replay.
func (s *story) playBack(ctx context.Context, data, name string, from uint64, sink func(turn), more func(seq uint64) bool) error {
	r, err := journal.NewReader(data, name, from)
	if err != nil {
		return fmt.Errorf("replay channel %q: %w", name, err)
	}
	defer r.Close()
	r.OnDamage = s.damaged
	if from > 1 {
		s.repeats.earlier = earlierLines(data, name, from)
	}
	s.replaying = true
	defer func() { s.replaying = false }()
	for r.Next() {
		rec := r.Record()
		s.frame(rec.Seq, &rec.Frame, rec.BootID, sink)
		if !more(rec.Seq) {
			return nil
		}
		if rec.Seq%4096 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
	}
	if err := r.Err(); err != nil {
		return fmt.Errorf("replay channel %q: %w", name, err)
	}
	return nil
}
