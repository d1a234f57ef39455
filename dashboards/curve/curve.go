package curve

import (
	"math"
	"slices"

	"amphora/analyze"
)

const (
	// mostBins bounds the memory unless New says otherwise: 4096 bins of at most 12
	// rows are 1.5 MiB.
	mostBins = 4096
	// finest is the first width of a bin, in s: so narrow that a log of fewer
	// rows than there are bins is kept whole. Powers of two halve exactly.
	finest = 1.0 / 1024
)

// Curve collects the rows of a charge. The zero value is empty and ready. It is
// not safe for use by several goroutines at once.
type Curve struct {
	limit int     // of the bins; mostBins where 0
	bins  []bin   // in order of time; only bins that hold rows
	width float64 // of every bin, s
}

// New makes an empty curve of so many bins of time at most, for those that hold
// many. Half of them or more are in use once there are more rows than bins; each
// takes up to 384 bytes, of a smooth charge a third of it.
func New(bins int) *Curve { return &Curve{limit: max(bins, 2)} }

// bin is a stretch of time between two multiples of the width.
type bin struct {
	key  float64 // which multiple it begins at
	rows []Point
}

// Add puts in the next row: elapsed seconds, volts, amperes into the battery,
// degrees Celsius; NaN where not measured, and infinite counts as not measured.
// A row without a time or with nothing measured leaves no trace. A time that
// runs backwards counts as no time passed, so that the order stays and the
// reading is not lost. The cost is constant, averaged over the rows.
func (c *Curve) Add(t, v, i, celsius float64) {
	p := Point{At: t, Volts: orAbsent(v), Amps: orAbsent(i), Celsius: orAbsent(celsius)}
	if !analyze.Known(t) || p.blank() {
		return
	}
	if n := len(c.bins); n > 0 {
		rows := c.bins[n-1].rows
		p.At = max(t, rows[len(rows)-1].At)
	}
	b := c.bin(p.At)
	b.rows = append(b.rows, p)
	if len(b.rows) >= 2*most {
		b.rows = essential(b.rows[:0], b.rows)
	}
}

// Points gives the curve in at most n points (12 where n is less), in order of
// time, with every peak among them.
func (c *Curve) Points(n int) []Point {
	var all []Point
	for _, b := range c.bins {
		all = append(all, b.rows...)
	}
	return Downsample(all, n)
}

// bin finds the bin of a time that is not before the last, making room for it
// where needed.
func (c *Curve) bin(t float64) *bin {
	if c.width == 0 {
		c.width = finest
	}
	if c.limit == 0 {
		c.limit = mostBins
	}
	for {
		key, n := math.Floor(t/c.width), len(c.bins)
		switch {
		case n > 0 && c.bins[n-1].key == key:
			return &c.bins[n-1]
		case n < c.limit:
			c.close()
			c.bins = append(c.bins, bin{key: key})
			return &c.bins[n]
		}
		c.coarsen()
	}
}

// close gives back what the last bin holds beyond its essential rows.
func (c *Curve) close() {
	if n := len(c.bins); n > 0 {
		b := &c.bins[n-1]
		b.rows = slices.Clone(essential(b.rows[:0], b.rows))
	}
}

// coarsen doubles the width until a quarter of the bins is free: were one freed
// bin enough, an unlucky log could call for it at every row.
func (c *Curve) coarsen() {
	for len(c.bins) > c.limit*3/4 {
		c.width *= 2
		merged := c.bins[:0]
		for _, b := range c.bins {
			b.key = math.Floor(b.key / 2)
			if n := len(merged); n > 0 && merged[n-1].key == b.key {
				both := append(merged[n-1].rows, b.rows...)
				merged[n-1].rows = slices.Clone(essential(both[:0], both))
				continue
			}
			merged = append(merged, b)
		}
		clear(c.bins[len(merged):])
		c.bins = merged
	}
}
