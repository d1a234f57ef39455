package daemon

import (
	"bytes"
	"strings"

	"amphora/capture"
	"amphora/decoders"
)

// stranger holds the lines of a device that has not proved yet to be the one that is
// expected. They are told once it has, and refused if it does not.
type stranger struct {
	lines []line
	texts [][]byte
	many  int // lines since the source was opened, all of them in doubt
}

// mostDoubted is how many lines are held: the one that proves a device is among the
// first, or it is another.
const mostDoubted = 20

// doubt keeps a line for later, or refuses it if there are too many already.
func (s *story) doubt(l line, text []byte) {
	if s.two != nil {
		if e, _ := s.two.of(text); e != nil {
			e.doubts++
		}
		s.refuse(l, decoders.ErrStranger)
		return
	}
	s.stranger.many++
	if s.stranger.many > mostDoubted {
		s.turnAway()
		s.refuse(l, decoders.ErrStranger)
		return
	}
	s.stranger.lines = append(s.stranger.lines, l)
	s.stranger.texts = append(s.stranger.texts, bytes.Clone(text))
}

// strangeHint says what to do where another device speaks than is expected; "" where none does.
func (s *story) strangeHint() string {
	where := ""
	if s.two != nil {
		for k := range s.two.ears {
			if e := &s.two.ears[k]; e.doubts >= mostDoubted {
				where = " of the " + e.tag + "meter"
			}
		}
	}
	if where == "" && s.stranger.many < mostDoubted {
		return ""
	}
	return "another device than expected is on this port" + where + ", and nothing of it is counted: look at its cable and at `amphora ports`, or at expect in the configuration"
}

// turnAway refuses what is held.
func (s *story) turnAway() {
	for _, l := range s.stranger.lines {
		s.refuse(l, decoders.ErrStranger)
	}
	s.stranger.lines, s.stranger.texts = nil, nil
}

// welcome tells what is held: the device is the one that is expected.
func (s *story) welcome(sink func(turn)) {
	held := s.stranger
	s.stranger = stranger{}
	for k := range held.lines {
		s.whole(held.lines[k], held.texts[k], false, sink)
	}
}

// reopened forgets what was held of the device that was there before.
func (s *story) reopened(sink func(turn)) {
	s.turnAway()
	s.stranger = stranger{}
	s.connected(sink)
}

// hearNoise keeps what capture says where bytes come that are no lines, for as long as
// it may be so.
func (s *story) hearNoise(f *capture.Frame) {
	switch text := string(f.Text); {
	case f.Flags&capture.Opened != 0:
		s.noise = ""
	case f.Flags&capture.Marked != 0 && strings.Contains(text, capture.HintNoise):
		_, s.noise, _ = strings.Cut(text, capture.Hint)
	}
}

func (s *story) refuse(l line, why *decoders.Refusal) {
	s.refused[why.Error()]++
	s.recent.refuse(l.seq, why)
}
