package analyze

import "math"

// Nickel leaves its peak as slowly as it comes to it: what sinks its voltage is the warmth of all that no longer goes
// into the cells, and that comes on little by little. A load that comes on beside a battery, and a source that gives way,
// take the voltage down much faster than the battery had climbed. Of two models of nickel, what was climbed last was
// lost in more than a third of the time, in almost all of 290 nights at once; the figure is our own.
const crestFall = 1. / 3

// sinksSlowly reports whether the voltage took about as long for the first it lost as for the last it gained. It is
// averaged in blocks, as where its peak was looked for.
func (p *peak) sinksSlowly(tr *trace, end int) bool {
	width := p.to - p.from
	climb := p.flank(func(k int) (block, bool) {
		to := p.from - k*width
		return tr.blockOf(max(to-width, 0), max(to, 1)), to > 0
	})
	fall := p.flank(func(k int) (block, bool) {
		from := p.to + k*width
		return tr.blockOf(min(from, end-1), min(from+width, end)), from < end
	})
	return fall >= crestFall*climb
}

// flank is how long the voltage took on one side of its peak from half as far below as it had to sink to all of that,
// s, in the blocks that follow each other there. Nearer to the peak a coarse meter shows no difference.
func (p *peak) flank(next func(k int) (b block, ok bool)) float64 {
	half, low := p.volts-p.need/2, p.volts-p.need
	t, v, left := p.at, p.volts, p.at
	for k := 0; ; k++ {
		b, ok := next(k)
		if !ok {
			return math.Abs(t - left)
		}
		at := (b.t0 + b.t1) / 2
		passing := func(level float64) float64 { return t + (at-t)*(v-level)/(v-b.v) }
		switch {
		case b.v > half:
			left = at
		case v > half:
			left = passing(half)
		}
		if b.v <= low {
			return math.Abs(passing(low) - left)
		}
		t, v = at, b.v
	}
}
