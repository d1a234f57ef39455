package capture

import (
	"slices"
	"time"
)

// beat remembers the last intervals of a source, to know its usual one.
type beat struct {
	last [9]time.Duration
	n    int // how many were ever added
}

// add takes the next interval.
func (b *beat) add(d time.Duration) {
	b.last[b.n%len(b.last)] = d
	b.n++
}

// median is the usual interval; ok is false until five are known.
func (b *beat) median() (d time.Duration, ok bool) { return b.quantile(2) }

// lowerQuartile is short as soon as some lines come close together, as in a
// record of two lines, where the median could be either.
func (b *beat) lowerQuartile() (d time.Duration, ok bool) { return b.quantile(4) }

// quantile is the value below which one part in so many lies.
func (b *beat) quantile(parts int) (time.Duration, bool) {
	n := min(b.n, len(b.last))
	if n < 5 {
		return 0, false
	}
	sorted := b.last
	slices.Sort(sorted[:n])
	return sorted[(n-1)/parts], true
}
