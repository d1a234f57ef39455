package capture

import (
	"slices"
	"time"
)

// recent keeps the last values of something, to know what is usual. Twelve, so
// that records of two, three, four or six lines fill it evenly.
type recent[T ~int | ~int64] struct {
	last [12]T
	n    int // how many were ever added
}

// add takes the next value.
func (r *recent[T]) add(v T) {
	r.last[r.n%len(r.last)] = v
	r.n++
}

// known is how many values there are, and whether that is enough to say what is
// usual.
func (r *recent[T]) known() (n int, enough bool) {
	n = min(r.n, len(r.last))
	return n, n >= 5
}

// median is the lower of two in the middle; ok is false until enough are known.
func (r *recent[T]) median() (v T, ok bool) { return r.quantile(2) }

// lowerQuartile is small as soon as some values are, as the intervals in a
// source of two-line records, where the median could be either.
func (r *recent[T]) lowerQuartile() (v T, ok bool) { return r.quantile(4) }

// quantile is the value below which one part in so many lies.
func (r *recent[T]) quantile(parts int) (v T, ok bool) {
	n, enough := r.known()
	if !enough {
		return 0, false
	}
	sorted := r.last
	slices.Sort(sorted[:n])
	return sorted[(n-1)/parts], true
}

// mean is what each value must be for them all to make their sum.
func (r *recent[T]) mean() (v T, ok bool) {
	n, enough := r.known()
	if !enough {
		return 0, false
	}
	var sum T
	for _, v := range r.last[:n] {
		sum += v
	}
	return sum / T(n), true
}

// beat is the intervals between the lines of a source.
type beat = recent[time.Duration]
