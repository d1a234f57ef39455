package daemon

import (
	"bytes"
	"hash/maphash"
	"math"
	"slices"

	"amphora/decoders"
)

// repeats knows the lines that a source says once more after it was opened anew: some
// keep their last ones, or a whole night, for whoever connects. A line that tells the time is
// said once, so that the same line is the same reading, and must not be counted twice. So is one
// whose counter of charge stands lower than it has: it may stand still, but it does not go back
// to what was said.
//
// A device whose clock begins anew tells the old times as well, of new readings. Single lines say
// little: one may have been torn the first time, another the second. So the last few are held
// until they are one or the other: a row that was said before speaks for a repetition, one
// whose time is not known against it, and one whose time was said with other values twice as much.
type repeats struct {
	said    []spokenAt // of the last readings
	next    int        // where the next one goes once all places are taken
	near    int        // where the last one was found: the next stands behind it
	anew    bool       // the source was opened, and has told nothing new yet
	counter float64    // as it stood last
	last    float64    // the time of the last reading, as the device told it
	held    []heldRow  // rows that may be new or not

	earlier func(take func(text []byte)) // the lines of the journal before the story; nil for none
}

// spokenAt is what is remembered of a line.
type spokenAt struct {
	sum uint64
	at  float64 // as the device told it, NaN where it tells none
}

type heldRow struct {
	line line
	text []byte
	says int // for a repetition; below zero against it
}

const (
	mostRepeats = 100_000 // lines, more than a night has mostly
	heldRows    = 16
	heldAgainst = 2 // by so much more must be said against a repetition than for it

	saidBefore, neverSaid, saidOtherwise = 1, -1, -2

	year = 366 * 24 * 3600 // s
)

var repeatsSeed = maphash.MakeSeed()

// knows tells whether a line repeats one from before the source was opened.
func (r *repeats) knows(text []byte) bool {
	if !r.anew || len(r.said) == 0 {
		return false
	}
	sum := maphash.Bytes(repeatsSeed, text)
	return r.find(func(s *spokenAt) bool { return s.sum == sum })
}

// find looks behind the last line that was found, then everywhere.
func (r *repeats) find(is func(*spokenAt) bool) bool {
	if k := r.near + 1; k < len(r.said) && is(&r.said[k]) {
		r.near = k
		return true
	}
	for k := range r.said {
		if is(&r.said[k]) {
			r.near = k
			return true
		}
	}
	return false
}

// counted tells whether a counter stands lower than it did.
func (r *repeats) counted(counter float64) bool { return counter < r.counter }

// read remembers a line that was a reading, and the time that it told.
func (r *repeats) read(text []byte, counter, at float64) {
	r.anew, r.counter, r.last = false, counter, at
	s := spokenAt{maphash.Bytes(repeatsSeed, text), at}
	if len(r.said) < mostRepeats {
		r.said = append(r.said, s)
		return
	}
	r.said[r.next] = s
	r.next = (r.next + 1) % mostRepeats
}

// judge is what a row says for a repetition, where its time is at; 0 where it is later than the last reading.
func (r *repeats) judge(text []byte, at float64, stream *decoders.Stream) int {
	switch {
	case r.knows(text):
		return saidBefore
	case stream.Later(at, r.last):
		return 0
	case stream.Dated() && r.beforeAll(at):
		return saidBefore
	case r.find(func(s *spokenAt) bool { return s.at == at }):
		return saidOtherwise
	}
	return neverSaid
}

// beforeAll tells a date before the first one that is remembered, by no more than a clock that lost its date is off.
func (r *repeats) beforeAll(at float64) bool {
	first := r.said[r.next%len(r.said)].at
	return at < first && at > first-year
}

// repeated takes a row that tells the time, after the source was opened anew; false where it is to be read at once.
func (s *story) repeated(l line, text []byte, sink func(turn)) bool {
	r := &s.repeats
	if !r.anew || len(r.said) == 0 {
		return false
	}
	at := s.stream.Peek(text)
	if math.IsNaN(at) {
		return false
	}
	says := r.judge(text, at, s.stream)
	if says == neverSaid && r.earlier != nil {
		s.recollect()
		says = r.judge(text, at, s.stream)
	}
	if says == 0 && len(r.held) == 0 {
		return false // as after most losses
	}
	r.held = append(r.held, heldRow{l, bytes.Clone(text), says})
	sum, later := 0, 0
	for k := range r.held {
		sum += r.held[k].says
		if r.held[k].says == 0 {
			later++
		}
	}
	n := len(r.held)
	switch {
	case sum <= -heldAgainst:
		s.release(sink) // its clock began anew
	case later > 0 && (sum < 0 || n > 1 && r.held[n-1].says == 0 && r.held[n-2].says == 0):
		s.beyond(sink)
	case n > heldRows:
		s.refuse(r.held[0].line, decoders.ErrRepeated)
		r.held = slices.Delete(r.held, 0, 1)
	}
	return true
}

// release reads all that is held: no row of it is a repetition.
func (s *story) release(sink func(turn)) {
	held := s.repeats.held
	s.repeats.held, s.repeats.anew = nil, false
	for k := range held {
		s.read(held[k].line, held[k].text, sink)
	}
}

// beyond ends a repetition: what is later than the last reading before it is new, and the rest is not.
func (s *story) beyond(sink func(turn)) {
	held := s.repeats.held
	s.repeats.held, s.repeats.anew = nil, false
	for k := range held {
		if held[k].says != 0 {
			s.refuse(held[k].line, decoders.ErrRepeated)
		} else {
			s.read(held[k].line, held[k].text, sink)
		}
	}
}

// connected notes that the source was opened, or another writer of it came. What is held since the time before is settled
// by what was seen of it.
func (s *story) connected(sink func(turn)) {
	if len(s.repeats.held) > 0 {
		s.beyond(sink)
	}
	s.repeats.anew = true
}
