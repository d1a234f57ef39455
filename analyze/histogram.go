package analyze

import "slices"

// histogram finds quantiles of values that each stood for some time.
type histogram struct {
	values []weighted
	total  float64 // of the weights
	most   float64 // the largest value; 0 if none is more
}

type weighted struct{ x, w float64 }

// clear forgets all values, and makes room for so many. It is one that is used again and
// again, since a charge asks for quantiles each time that it is looked at.
func (h *histogram) clear(n int) {
	h.values, h.total, h.most = slices.Grow(h.values[:0], n), 0, 0
}

func (h *histogram) add(x, w float64) {
	h.values = append(h.values, weighted{x, w})
	h.total += w
	h.most = larger(h.most, x)
}

func (h *histogram) empty() bool { return len(h.values) == 0 }

// quantile is the value below which a share q of the time was spent; NaN if there
// was none. It sorts no more than it must: the values are parted in those below, at
// and above one of them, and only the part that holds the answer is looked at
// further. What lies below it is added up value by value, not part by part, so that
// values of equal weight give the same sums in whatever order they stand.
func (h *histogram) quantile(q float64) float64 {
	if h.empty() {
		return Unknown()
	}
	part, sum, largest := h.values, 0.0, h.values[0].x
	for len(part) > 0 {
		x := middleOf(part[0].x, part[len(part)/2].x, part[len(part)-1].x)
		below, at := parted(part, x)
		s := sum
		for k := range below {
			s += part[k].w
		}
		if s >= q*h.total && below > 0 {
			part = part[:below]
			continue
		}
		for k := below; k < at; k++ {
			s += part[k].w
		}
		if s >= q*h.total {
			return x
		}
		part, sum, largest = part[at:], s, x
	}
	return largest
}

// parted puts the values below x first, then those at x, and those above it last. It
// gives the end of the first two.
func parted(v []weighted, x float64) (below, at int) {
	above := len(v)
	for at < above {
		switch y := v[at].x; {
		case y < x:
			v[below], v[at] = v[at], v[below]
			below++
			at++
		case y > x:
			above--
			v[at], v[above] = v[above], v[at]
		default:
			at++
		}
	}
	return below, at
}

func middleOf(a, b, c float64) float64 { return max(min(a, b), min(max(a, b), c)) }
