package report

import (
	"fmt"
	"math"

	"amphora/analyze"
)

// chart is a small picture of one quantity, drawn as SVG within the page, whose
// style sheet gives it its looks.
type chart struct {
	about string // for those who cannot see it
	x, y  string // what the axes show
	texts func(low, high float64) []mark
	bands []band
	lines []stroke
	dots  []spot
	words []label
}

type spot struct{ x, y float64 }

// stroke is a line through spots; class names its look.
type stroke struct {
	class string
	spots []spot
}

// band is a filled area between two lines.
type band struct {
	class        string
	above, below []spot
}

// label is a word above a spot, or below it.
type label struct {
	at    spot
	text  string
	below bool
}

// mark is a marked place of an axis.
type mark struct {
	at   float64
	text string
}

const (
	chartWidth, chartHeight              = 560.0, 230.0
	padLeft, padRight, padTop, padBottom = 58.0, 14.0, 12.0, 40.0
)

// extent is what an axis spans.
type extent struct{ low, high float64 }

func (e *extent) take(x float64) {
	if analyze.Known(x) {
		e.low, e.high = min(e.low, x), max(e.high, x)
	}
}

// air makes room at both ends, and a span where there was none.
func (e *extent) air(share float64) {
	d := (e.high - e.low) * share
	if d == 0 {
		d = max(math.Abs(e.high)*0.05, 0.01)
	}
	e.low, e.high = e.low-d, e.high+d
}

func (c *chart) extents() (x, y extent) {
	x, y = extent{math.Inf(1), math.Inf(-1)}, extent{math.Inf(1), math.Inf(-1)}
	all := [][]spot{c.dots}
	for _, l := range c.lines {
		all = append(all, l.spots)
	}
	for _, b := range c.bands {
		all = append(all, b.above, b.below)
	}
	for _, list := range all {
		for _, s := range list {
			x.take(s.x)
			y.take(s.y)
		}
	}
	x.air(0.02)
	y.air(0.08)
	return x, y
}

// marks are round values, at most so many.
func marks(low, high float64, most int) []mark {
	rough := (high - low) / float64(most)
	step := math.Pow(10, math.Floor(math.Log10(rough)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*step >= rough {
			step *= m
			break
		}
	}
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var list []mark
	for k := math.Ceil(low / step); k*step <= high; k++ {
		list = append(list, mark{k * step, fmt.Sprintf("%.*f", decimals, k*step+0)})
	}
	return list
}
