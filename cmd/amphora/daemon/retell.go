package daemon

import (
	"context"
	"math"

	"amphora/analyze"
)

// Retell replays a channel's whole journal, as the analysis of today sees it. What was read
// with a decoder that later lines show to be the wrong one is read again.
func Retell(ctx context.Context, data, name, decoder string, o analyze.Options) (*Retold, error) {
	o.Channel = name
	for p := (place{From: 1}); ; {
		r := &Retold{}
		s := p.story(decoder, o)
		s.today, s.damaged = true, r.harm
		if err := s.findChoice(data, name); err != nil {
			return nil, err
		}
		s.fitAsTheyCome()
		t := &teller{story: s}
		err := s.playBack(ctx, data, name, p.From, t.turn, func(seq uint64) bool {
			if r.first == 0 {
				r.first = seq
			}
			r.last, t.heard = seq, seq
			return t.anew == ""
		})
		if err != nil {
			return nil, err
		}
		if t.anew == "" {
			s.lastTry(t.turn)
		}
		if t.anew == "" {
			t.last(false)
			r.Told = t.told
			return r, nil
		}
		p.Decoder, p.Told = s.choose(t.anew), true
	}
}

// findChoice finds the decoder that read the lines of a journal, where no configuration
// says it: the journal remarks it, or else the channel's place does.
func (s *story) findChoice(data, name string) error {
	if !s.choosing() || s.chosen != "" {
		return nil
	}
	if err := s.hearChoice(data, name, 1, decoderMark, statedMark); err != nil {
		return err
	}
	if p, _ := readPlace(placeFile(data, name)); s.chosen == "" && p.Decoder != "" {
		s.chosen, s.second.told, s.guessed = p.Decoder, p.Told, p.Guessed
		s.restart(s.account, 0)
	}
	return nil
}

// fitAsTheyCome has a story fit what decoder it lacks to the lines, though they are replayed.
func (s *story) fitAsTheyCome() {
	switch {
	case s.two == nil && s.stream == nil:
		s.fits, s.fit.nextN = true, fitAgain
	case s.two != nil && !s.two.ready():
		s.fits = true
		for k := range s.two.ears {
			s.two.ears[k].fit.nextN = fitAgain
		}
	}
}

// fitAgain is how many lines of a journal are waited for before a decoder is fitted to them:
// nobody looks on, and more of them show better what they are.
const fitAgain = 120

// lastTry fits decoders at last, where there were too few lines to fit them as they came.
func (s *story) lastTry(sink func(turn)) {
	if s.two == nil {
		if s.stream == nil {
			s.fit.nextN = 1
			if setting, ok := s.fit.try(0); ok {
				s.guessed = !s.fit.named
				s.adopt(setting, sink)
			}
		}
		return
	}
	for k := range s.two.ears {
		if e := &s.two.ears[k]; e.stream == nil {
			e.fit.nextN = 1
			if setting, ok := e.fit.try(e.only); ok {
				s.hearWith(e, setting, sink)
			}
		}
	}
}

// teller collects sessions as a story goes on.
type teller struct {
	story *story
	told  []Told
	open  bool // the last one may still be revised
	from  place
	began uint64 // the record by which that was known
	heard uint64 // the record heard last
	anew  string // a decoder that was found to be the right one: all was told with a wrong one
}

func (t *teller) turn(u turn) {
	if u.anew {
		t.anew = u.chose
	}
	if u.closed {
		t.last(true)
		t.open = false
	}
	for k := range u.events {
		switch e := &u.events[k]; e.Kind {
		case analyze.SessionClosed:
			t.put(e.Session, true)
			t.open = false
		case analyze.SessionBegan:
			t.begin()
			t.put(e.Session, false)
		}
	}
	t.story.machine.Drain()
}

func (t *teller) put(s *analyze.Session, settled bool) {
	told := Told{Session: *s, from: t.from, began: t.began, until: math.MaxUint64, settled: settled}
	if settled {
		told.until = t.heard + 1
	}
	if t.open {
		t.told[len(t.told)-1] = told
		return
	}
	t.told = append(t.told, told)
	t.open = true
}

// last puts the session under way, or resting, as it stands.
func (t *teller) last(settled bool) {
	d := t.story.machine.Document()
	if s := &d.Sessions[len(d.Sessions)-1]; s.Outcome != analyze.NoCharge {
		if !t.open {
			t.begin()
		}
		t.put(s, settled)
	}
}

func (t *teller) begin() { t.from, t.began = t.story.place(t.story.here()), t.heard+1 }
