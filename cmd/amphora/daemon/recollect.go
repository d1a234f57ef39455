package daemon

import (
	"hash/maphash"
	"math"

	"amphora/capture"
	"amphora/capture/journal"
)

// After a restart a story begins with the account of the last charge. A device that says its whole
// memory tells of those before it as well: then the journal says what had come. It is read
// once, and not before a source is opened and says a time that nobody remembers.

// earlierLines are those of a journal before a record, as many as are remembered.
func earlierLines(data, name string, before uint64) func(take func(text []byte)) {
	return func(take func(text []byte)) {
		r, err := journal.NewReader(data, name, max(before, mostRepeats+1)-mostRepeats)
		if err != nil {
			return // what cannot be read is not remembered
		}
		defer r.Close()
		for r.Next() && r.Record().Seq < before {
			if f := r.Record().Frame; f.Flags&(capture.NotLine|capture.Fragment|capture.Overlong) == 0 {
				take(f.Text)
			}
		}
	}
}

// recollect puts what came before the story began before what it remembers.
func (s *story) recollect() {
	r := &s.repeats
	var said []spokenAt
	r.earlier(func(text []byte) {
		if at := s.stream.Peek(text); !math.IsNaN(at) {
			said = append(said, spokenAt{maphash.Bytes(repeatsSeed, text), at})
		}
	})
	said = append(append(said, r.said[r.next:]...), r.said[:r.next]...)
	r.said = said[max(0, len(said)-mostRepeats):]
	r.next, r.near, r.earlier = 0, 0, nil
}
