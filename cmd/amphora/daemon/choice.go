package daemon

import (
	"cmp"
	"context"
	"strings"
	"time"

	"amphora/capture"
	"amphora/capture/journal"
	"amphora/decoders"
)

// negates tells whether a setting counts positive current out of the battery.
func negates(setting string) bool {
	l, err := decoders.Parse(setting)
	if err != nil {
		return false
	}
	amps := l.Field(decoders.Amps)
	return amps != nil && amps.Negate
}

// withSign is a setting with the current counted into the battery, or negated. All
// else stays: what else was fitted later was so without the header of the log.
func withSign(setting string, negate bool) string {
	l, err := decoders.Parse(setting)
	if err != nil {
		return setting
	}
	if amps := l.Field(decoders.Amps); amps != nil {
		amps.Negate = negate
	}
	return l.String()
}

// choosing reports whether a decoder is for the story to choose. What it chose
// last is in the journal; the place may have been written down before that.
func (s *story) choosing() bool {
	if s.two != nil {
		return s.two.ears[0].setting == "" || s.two.ears[1].setting == ""
	}
	return s.setting == ""
}

// choose is what is chosen once a setting has taken the place of another; of two
// meters it names the one it is for.
func (s *story) choose(setting string) string {
	if s.two == nil {
		return setting
	}
	if e, own := s.two.of([]byte(setting)); e != nil {
		e.chosen = string(own)
	}
	return s.two.chosen()
}

// hearChoice takes the decoders that the journal names last, in remarks that begin as one of
// marks: a later one corrects those before it.
func (s *story) hearChoice(data, name string, from uint64, marks ...string) error {
	r, err := journal.NewReader(data, name, from)
	if err != nil {
		return err
	}
	defer r.Close()
	was, last := s.chosen, uint64(0)
	s.relaid = map[uint64]string{}
	for r.Next() {
		rec := r.Record()
		if rec.Flags&capture.Marked == 0 {
			continue
		}
		text := string(rec.Text)
		for _, mark := range marks {
			if setting, ok := strings.CutPrefix(text, mark); ok && s.parses(setting) {
				if last > 0 {
					s.relaid[last] = setting
				} else {
					s.chosen = s.choose(setting)
				}
			}
		}
		if setting, ok := strings.CutPrefix(text, relaidMark); ok && s.two == nil && s.parses(setting) && (last > 0 || setting != s.chosen) {
			last = rec.Seq
			s.relaid[last] = setting
		}
	}
	if s.chosen != was {
		s.account.layout = nil
		s.restart(s.account, 0)
	}
	return r.Err()
}

// hearsOf reports whether a frame is a remark of a decoder, and takes it. It was written behind
// the line that brought it about, which nobody heard then: it is no moment of the log either.
func (s *story) hearsOf(seq uint64, f *capture.Frame, sink func(turn)) bool {
	if f.Flags&capture.Marked == 0 {
		return false
	}
	if setting, ok := strings.CutPrefix(string(f.Text), relaidMark); ok && s.two == nil {
		s.relay(seq, cmp.Or(s.relaid[seq], setting), sink)
		return true
	}
	setting, ok := strings.CutPrefix(string(f.Text), decoderMark)
	switch {
	case !ok:
		return strings.HasPrefix(string(f.Text), statedMark)
	case s.two == nil:
		s.adopt(setting, sink)
	default:
		if e, own := s.two.of([]byte(setting)); e != nil {
			s.hearWith(e, string(own), sink)
		}
	}
	return true
}

// noteDecoders puts the decoders in use down in the journal, at each charge: what was noted
// before goes with the oldest segments, and a configuration may say another tomorrow.
func (c *channel) noteDecoders() {
	s := c.story
	if s.replaying {
		return
	}
	if s.two == nil {
		c.noteDecoder("", s.setting, s.chosen)
		return
	}
	for k := range s.two.ears {
		e := &s.two.ears[k]
		c.noteDecoder(e.tag, e.setting, e.chosen)
	}
}

func (c *channel) noteDecoder(meter, stated, chosen string) {
	if stated != "" {
		c.remark(statedMark + meter + stated)
	} else {
		c.remark(decoderMark + meter + chosen)
	}
}

// remark puts something down in the journal behind the present frame, by its stamps: another
// meter's next one may be stamped by now.
func (c *channel) remark(text string) {
	c.record.Append(capture.Frame{Wall: c.latest.Wall, Boot: c.latest.Boot, Text: []byte(text), Flags: capture.Marked})
}

// parses tells whether a decoder can be made of what the journal says was chosen.
func (s *story) parses(setting string) bool {
	if s.two != nil {
		_, own := s.two.of([]byte(setting))
		setting = string(own)
	}
	_, err := decoders.Parse(setting)
	return err == nil
}

// tellLimit is how long the source may wait while its story is told anew.
const tellLimit = 10 * time.Second

// tellAnew tells again, with a decoder that was found to be the right one, the present
// account and those before it that were told with the wrong one. The caller holds mu.
func (c *channel) tellAnew() {
	if c.anew == "" {
		return
	}
	setting := c.anew
	c.anew = ""
	ctx, cancel := context.WithTimeout(c.until, tellLimit)
	defer cancel()
	if c.record.Sync(ctx) != nil {
		c.story.second = secondLook{} // it cannot be read back now; look again later
		return
	}
	c.log.Warn("the lines show that another decoder is right; telling them again", "channel", c.set.Name, "before", c.story.chosen, "now", setting)
	p := c.takeBack()
	if p.Told = true; p.From >= c.story.relaidAt { // else the journal tells it for the lines that it is of
		p.Decoder = c.story.choose(setting)
	}
	if err := c.tell(ctx, p); err != nil {
		c.log.Error("cannot tell the lines again; a restart will", "channel", c.set.Name, "error", err)
	}
	c.writePlace()
	c.status.stale = true
}
