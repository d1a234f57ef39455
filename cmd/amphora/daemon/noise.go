package daemon

import (
	"time"
	"unicode/utf8"

	"amphora/decoders"
)

// isNoise tells whether a line is none that anybody wrote: what a device sends while it
// boots, or what is heard at a wrong rate. Of such bytes five in eight are no ASCII
// text; in what is written they are letters and signs of some encoding, or marks about
// it, and few. Letters of other scripts, and lines of tables, are many, but they are UTF-8,
// which bytes by chance hardly are.
func isNoise(line []byte) bool {
	odd, written := 0, utf8.Valid(line)
	for _, b := range line {
		if b >= 0x80 && !written || b == 0x7f || b < ' ' && b != '\t' {
			odd++
		}
	}
	return 4*odd > len(line)
}

// mostlyNoise says whether next to nothing of what came before a decoder was found was
// written by anybody. What little looks so is chance, and no decoder is to blame.
func (s *story) mostlyNoise() bool {
	whole := s.lines - uint64(s.refused[decoders.ErrTorn.Error()])
	return 20*uint64(s.refused[decoders.ErrNotMine.Error()]) >= 19*whole
}

// A hint that nothing can be read waits for so many lines; for fewer where they have come for
// so long and are noise, or not what a decoder that was set reads: at a wrong rate a line may
// take seconds to end.
const (
	decodable   = 20 // one in so many lines is, or the line rate is in doubt
	linesToTell = 20
	noisyLines  = 4
	noisyFor    = 5 * time.Second
)

// tooEarly tells whether too little came to say that nothing can be read.
func (s *story) tooEarly() bool {
	switch {
	case s.lines >= linesToTell:
		return false
	case s.rows > 0 || s.lines < noisyLines || s.heardFor < noisyFor:
		return true
	}
	return s.stream == nil && !s.mostlyNoise()
}
