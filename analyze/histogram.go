package analyze

import (
	"cmp"
	"slices"
)

// histogram finds quantiles of values that each stood for some time.
type histogram struct {
	values []weighted
}

type weighted struct{ x, w float64 }

func (h *histogram) add(x, w float64) { h.values = append(h.values, weighted{x, w}) }

func (h *histogram) empty() bool { return len(h.values) == 0 }

// quantile is the value below which a share q of the time was spent; NaN if there was none.
func (h *histogram) quantile(q float64) float64 {
	if h.empty() {
		return Unknown()
	}
	slices.SortFunc(h.values, func(a, b weighted) int { return cmp.Compare(a.x, b.x) })
	total := 0.0
	for _, v := range h.values {
		total += v.w
	}
	sum := 0.0
	for _, v := range h.values {
		if sum += v.w; sum >= q*total {
			return v.x
		}
	}
	return h.values[len(h.values)-1].x
}
