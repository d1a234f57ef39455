package daemon

import (
	"cmp"
	"strings"

	"amphora/decoders"
)

// These begin the remarks by which the journal remembers what reads it.
const (
	decoderMark = "decoder "        // that auto chose: it goes on with it
	statedMark  = "stated decoder " // that the configuration says: for who has it no more
)

func (s *story) layout() *decoders.Layout {
	l, err := decoders.Parse(cmp.Or(s.setting, s.chosen))
	if err != nil {
		return nil // none is in use
	}
	return l
}

// decoder is the setting in use, "" while none is.
func (s *story) decoder() string {
	if s.two != nil {
		return strings.ReplaceAll(s.two.all(), "\n", "; ")
	}
	return cmp.Or(s.setting, s.chosen)
}

// inForce is the layout of the latest line, which a heading may have changed; nil while there is none.
func (s *story) inForce() *decoders.Layout {
	if s.stream == nil {
		return nil
	}
	return s.stream.Layout()
}

// unfitted keeps lines until a decoder fits them. Noise is no part of what it must fit,
// or a minute of it would have to be outweighed first.
func (s *story) unfitted(l line, text []byte, sink func(turn)) {
	if isNoise(text) {
		s.refuse(l, decoders.ErrNotMine)
		return
	}
	s.fit.keep(l, text)
	if s.replaying && !s.fits {
		return // the journal will say what was chosen
	}
	if setting, ok := s.fit.try(0); ok {
		s.guessed = !s.fit.named
		s.adopt(setting, sink)
		sink(turn{chose: setting})
	}
}

// adopt takes a decoder that was chosen, now or when the journal was written, and
// decodes what has waited for it.
func (s *story) adopt(setting string, sink func(turn)) {
	if s.setting != "" || s.stream != nil {
		return
	}
	l, err := decoders.Parse(setting)
	if err != nil {
		return
	}
	stream, err := decoders.NewStream(l)
	if err != nil {
		return
	}
	s.chosen, s.stream, s.laid = setting, stream, stream.Layout()
	s.second.fit.head = s.fit.heading()
	s.fit.drain(func(l line, text []byte) {
		s.line(l, text, sink)
		s.lookAgain(l, text, sink)
	})
}
