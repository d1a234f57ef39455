package daemon

import (
	"hash/maphash"
	"slices"
)

// repeats knows the lines that a source says once more after it was opened anew: some
// keep their last ones for whoever connects. A line that tells the time is said once,
// so that the same line is the same reading, and must not be counted twice. So is one whose
// counter of charge stands lower than it has: it may stand still, but it does not go back
// to what was said.
type repeats struct {
	said    []uint64 // of the last readings
	next    int      // where the next one goes once all places are taken
	anew    bool     // the source was opened, and has told nothing new yet
	counter float64  // as it stood last
}

const mostRepeats = 1024 // lines

var repeatsSeed = maphash.MakeSeed()

// knows tells whether a line repeats one from before the source was opened.
func (r *repeats) knows(text []byte) bool {
	if !r.anew || len(r.said) == 0 {
		return false
	}
	return slices.Contains(r.said, maphash.Bytes(repeatsSeed, text))
}

// counted tells whether a counter stands lower than it did.
func (r *repeats) counted(counter float64) bool { return counter < r.counter }

// read remembers a line that was a reading.
func (r *repeats) read(text []byte, counter float64) {
	r.anew, r.counter = false, counter
	sum := maphash.Bytes(repeatsSeed, text)
	if len(r.said) < mostRepeats {
		r.said = append(r.said, sum)
		return
	}
	r.said[r.next] = sum
	r.next = (r.next + 1) % mostRepeats
}
