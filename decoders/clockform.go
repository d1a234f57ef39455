package decoders

import (
	"bytes"
	"math"
)

// clockForm tells a clock from an elapsed time, and h:mm from m:ss; span is how long the lines took to come, 0
// where nobody knows.
func clockForm(c *column, span float64) (q Quantity, form, why string) {
	switch c.clockMarks() {
	case formDots:
		return Clock, formDots, "hours and minutes with a point between"
	case formDHMS:
		return Time, formDHMS, "days, hours, minutes and seconds"
	case formDigits:
		return Clock, formDigits, "hours, minutes and seconds without a mark between"
	case formHM:
		return Clock, formHM, "hours and minutes without a mark between"
	}
	k := tallyClocks(c.cells)
	cells := k.two + k.three + k.spelt
	elapsed := k.days*rarely > cells || k.spelt*rarely > cells && !k.midnight || k.first < 60 || c.said.of == Time && hasAny(c.name, "elapsed", "dauer", "laufzeit", "duration", "runtime")
	switch {
	case k.two > k.three && k.passes(span):
		return Time, formMS, "minutes and seconds, as long as the lines took to come"
	case k.two > k.three && (k.fraction*rarely > cells || k.beyond*rarely > cells || k.days*rarely > cells && shortSteps(k.steps)):
		return Time, formMS, "minutes and seconds"
	case elapsed:
		return Time, formHMS, "it counts from the start"
	}
	return Clock, formHMS, "time of day"
}

// clockMarks is the form of a column of clocks by the marks in most of its cells: any of them
// may be torn, the first one too.
func (c *column) clockMarks() string {
	switch {
	case dayClocks(c.cells):
		return formDHMS
	case c.toMinutes():
		return formHM
	}
	dots, none, colons := 0, 0, 0
	for _, cell := range c.cells {
		cell = trim(cell)
		switch {
		case len(cell) == 0:
		case isAll(cell, dotted):
			dots++
		case isAll(cell, digitClock):
			none++
		default:
			colons++
		}
	}
	switch {
	case dots > max(none, colons):
		return formDots
	case none > colons:
		return formDigits
	}
	return formHMS
}

// clockTally is what the cells of a clock look like, read as hours and minutes.
type clockTally struct {
	two, three, spelt int // cells of two numbers, of three, and with letters between
	fraction          int // marks of decimals
	days, beyond      int // cells of a day or more, and of more than a charge takes
	first             float64
	steps             []float64 // s, forward
	midnight          bool      // it falls back by a day
}

// passes tells that what was read as hours and minutes went on by minutes and seconds: so long took the lines to
// come.
func (k *clockTally) passes(span float64) bool {
	const share, late = 0.25, 2.0 // of the span; s by which a line may have waited (our own figures)
	ran := 0.0
	for _, d := range k.steps {
		ran += d
	}
	return len(k.steps) > 2 && span > shortestSpan && math.Abs(ran/60-span) <= share*span+late
}

func tallyClocks(cells [][]byte) clockTally {
	const longest = 40 * 3600 // s that a charge takes (common practice, no source)
	k := clockTally{first: math.NaN()}
	last := math.NaN()
	for _, cell := range cells {
		cell = trim(cell)
		s, n := clockCell(cell, formHMS)
		if n == 0 {
			continue
		}
		k.fraction += bytes.Count(cell, []byte{'.'}) + bytes.Count(cell, []byte{','})
		switch bytes.Count(cell, []byte{':'}) {
		case 0:
			k.spelt++
		case 1:
			k.two++
		default:
			k.three++
		}
		if s >= day {
			k.days++
		}
		if s >= longest {
			k.beyond++
		}
		if !known(k.first) {
			k.first = s
		}
		switch d := s - last; {
		case d > 0:
			k.steps = append(k.steps, d)
		case d < -day/2:
			k.midnight = true
		}
		last = s
	}
	return k
}

// shortSteps: read as hours and minutes, rows would be an hour apart.
func shortSteps(steps []float64) bool {
	var s stats
	s.measure(steps)
	return s.n > 0 && s.median < 3600
}
