package condition

import (
	"math"
	"slices"
)

// line is a robust straight line through points, with a distribution-free 95 %
// interval of its slope.
type line struct {
	slope, low, high float64
	x, y             float64 // the medians, through which it goes
}

const (
	leastPoints = 6 // of five the interval would be all slopes there are
	mostPoints  = 400
	normal95    = 1.959964 // two-sided 95 % of the normal distribution
)

// through draws the line of Theil and Sen: the median of the slopes between all
// pairs of points, which a quarter of wild ones cannot move far. The interval is
// Sen's (J. Am. Stat. Assoc. 63 (1968) 1379), from the distribution of Kendall's
// rank correlation: so many slopes up and down from the median. Where the points'
// deviations follow each other, as those of a warm summer do, there are fewer
// independent ones than points, and the interval is widened accordingly. It is
// false for too few points or where all are of one moment.
func through(x, y []float64) (line, bool) {
	x, y = condensed(x, y)
	n := len(x)
	slopes := make([]float64, 0, n*(n-1)/2)
	for i := range x {
		for j := i + 1; j < n; j++ {
			if d := x[j] - x[i]; d != 0 {
				slopes = append(slopes, (y[j]-y[i])/d)
			}
		}
	}
	if n < leastPoints || len(slopes) < leastPoints*(leastPoints-1)/2 {
		return line{}, false
	}
	slices.Sort(slopes)
	l := line{slope: middle(slopes), x: median(x), y: median(y)}
	half := normal95 * math.Sqrt(kendallVariance(x)*l.inflation(x, y)) / 2
	count := float64(len(slopes))
	l.low = slopes[max(int(math.Floor(count/2-half))-1, 0)]
	l.high = slopes[min(int(math.Ceil(count/2+half)), len(slopes)-1)]
	return l, true
}

// at is the line's value.
func (l *line) at(x float64) float64 { return l.with(l.slope, x) }

// with is the value of the line that has another slope.
func (l *line) with(slope, x float64) float64 { return l.y + slope*(x-l.x) }

// kendallVariance is that of Kendall's score, less for points of one moment.
func kendallVariance(x []float64) float64 {
	term := func(n float64) float64 { return n * (n - 1) * (2*n + 5) / 18 }
	sorted := slices.Sorted(slices.Values(x))
	v := term(float64(len(sorted)))
	for from := 0; from < len(sorted); {
		to := from
		for to < len(sorted) && sorted[to] == sorted[from] {
			to++
		}
		v -= term(float64(to - from))
		from = to
	}
	return v
}

// inflation is how many points count as one, from the correlation of neighbouring
// deviations' ranks: (1 + r)/(1 - r) for a process that forgets geometrically.
// Ranks, so that wild points do not rule it; what chance explains counts as none.
func (l *line) inflation(x, y []float64) float64 {
	d := make([]float64, len(x))
	for k := range x {
		d[k] = y[k] - l.at(x[k])
	}
	rank := ranks(d)
	n := float64(len(rank))
	mean := (n - 1) / 2
	var with, all float64
	for k, r := range rank {
		all += (r - mean) * (r - mean)
		if k > 0 {
			with += (r - mean) * (rank[k-1] - mean)
		}
	}
	if all == 0 {
		return 1
	}
	r := with / all
	if r < normal95/math.Sqrt(n) {
		return 1
	}
	r = min(r, 0.95)
	return (1 + r) / (1 - r)
}

func ranks(x []float64) []float64 {
	order := make([]int, len(x))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case x[a] < x[b]:
			return -1
		case x[a] > x[b]:
			return 1
		}
		return 0
	})
	r := make([]float64, len(x))
	for place, k := range order {
		r[k] = float64(place)
	}
	return r
}

// condensed takes the medians of neighbours where there are so many points that
// all their pairs would be too many.
func condensed(x, y []float64) ([]float64, []float64) {
	group := (len(x) + mostPoints - 1) / mostPoints
	if group <= 1 {
		return x, y
	}
	var cx, cy []float64
	for from := 0; from < len(x); from += group {
		to := min(from+group, len(x))
		cx, cy = append(cx, median(x[from:to])), append(cy, median(y[from:to]))
	}
	return cx, cy
}

func median(x []float64) float64 { return middle(slices.Sorted(slices.Values(x))) }

// middle is the median of sorted values; unknown of none.
func middle(sorted []float64) float64 {
	n := len(sorted)
	switch {
	case n == 0:
		return math.NaN()
	case n%2 == 1:
		return sorted[n/2]
	}
	return (sorted[n/2-1] + sorted[n/2]) / 2
}
