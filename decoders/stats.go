package decoders

import (
	"math"
	"slices"
)

// stats is how a series of numbers behaves.
type stats struct {
	n                          int
	low, median, high          float64 // 2nd, 50th and 98th percentile
	step                       float64 // median size of the step from row to row
	rising, falling            float64 // share of the steps that go up, that go down
	negative                   float64 // share of the values below zero
	whole                      bool    // no fractions at all
	first                      float64
	minimum, maximum           float64
	stepLow, stepMid, stepHigh float64 // 10th, 50th and 90th percentile of the upward steps
	levels                     int     // different values, up to 64
	quantum                    float64 // the smallest step that is one, the value's resolution
}

// measure fills the statistics from a series with NaNs.
func (s *stats) measure(x []float64) {
	*s = stats{whole: true, minimum: math.Inf(1), maximum: math.Inf(-1)}
	values := make([]float64, 0, len(x))
	steps := make([]float64, 0, len(x))
	ups := make([]float64, 0, len(x))
	up, down, minus := 0, 0, 0
	previous := math.NaN()
	distinct := map[float64]bool{}
	for _, v := range x {
		if math.IsNaN(v) {
			continue
		}
		values = append(values, v)
		if v < 0 {
			minus++
		}
		s.whole = s.whole && v == math.Trunc(v)
		if len(distinct) < 64 {
			distinct[v] = true
		}
		if d := v - previous; d == d {
			steps = append(steps, math.Abs(d))
			if d > 0 {
				up++
				ups = append(ups, d)
			} else if d < 0 {
				down++
			}
		}
		previous = v
	}
	s.n, s.levels = len(values), len(distinct)
	if s.n == 0 {
		return
	}
	s.first = values[0]
	s.quantum = math.Inf(1)
	for _, d := range steps {
		if d > 0 && d < s.quantum {
			s.quantum = d
		}
	}
	slices.Sort(values)
	slices.Sort(steps)
	slices.Sort(ups)
	s.minimum, s.maximum = values[0], values[s.n-1]
	s.low, s.median, s.high = quantile(values, 0.02), quantile(values, 0.5), quantile(values, 0.98)
	s.step, s.negative = quantile(steps, 0.5), float64(minus)/float64(s.n)
	s.stepLow, s.stepMid, s.stepHigh = quantile(ups, 0.1), quantile(ups, 0.5), quantile(ups, 0.9)
	if k := float64(len(steps)); k > 0 {
		s.rising, s.falling = float64(up)/k, float64(down)/k
	}
}

// spread is the usual range of the values.
func (s *stats) spread() float64 { return s.high - s.low }

// size is the largest usual value without its sign.
func (s *stats) size() float64 { return math.Max(math.Abs(s.low), math.Abs(s.high)) }

// pace is the usual step from row to row. That of a count which rises at one row in
// some only is less than what it rises by.
func (s *stats) pace() float64 {
	if s.rising < 0.6 {
		return s.stepMid * s.rising
	}
	return s.stepMid
}

// quantile of sorted values; 0 of none.
func quantile(sorted []float64, q float64) float64 {
	if len(sorted) == 0 {
		return 0
	}
	return sorted[int(q*float64(len(sorted)-1)+0.5)]
}
