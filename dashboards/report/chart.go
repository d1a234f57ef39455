package report

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strings"

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
	class      string
	above, low []spot
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
	chartWidth, chartHeight          = 560.0, 230.0
	padLeft, padRight, padTop, padUp = 58.0, 14.0, 12.0, 40.0 // padUp is below the axis
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
		all = append(all, b.above, b.low)
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

// SVG draws the chart; nothing where there is nothing to draw.
func (c *chart) SVG() template.HTML {
	if c == nil {
		return ""
	}
	x, y := c.extents()
	if !(x.low < x.high && y.low < y.high) || math.IsInf(x.low, 0) || math.IsInf(y.low, 0) {
		return ""
	}
	px := func(v float64) float64 {
		return padLeft + (v-x.low)/(x.high-x.low)*(chartWidth-padLeft-padRight)
	}
	py := func(v float64) float64 {
		return chartHeight - padUp - (v-y.low)/(y.high-y.low)*(chartHeight-padUp-padTop)
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="chart" viewBox="0 0 %g %g" role="img" aria-label="%s">`, chartWidth, chartHeight, html.EscapeString(c.about))
	texts := c.texts
	if texts == nil {
		texts = func(low, high float64) []mark { return marks(low, high, 7) }
	}
	for _, m := range marks(y.low, y.high, 5) {
		fmt.Fprintf(&b, `<line class="grid" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/><text class="tick end" x="%.1f" y="%.1f">%s</text>`,
			padLeft, py(m.at), chartWidth-padRight, py(m.at), padLeft-7, py(m.at)+4, html.EscapeString(m.text))
	}
	for _, m := range texts(x.low, x.high) {
		fmt.Fprintf(&b, `<line class="grid" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/><text class="tick mid" x="%.1f" y="%.1f">%s</text>`,
			px(m.at), padTop, px(m.at), chartHeight-padUp, px(m.at), chartHeight-padUp+15, html.EscapeString(m.text))
	}
	path := func(list []spot) string {
		var p strings.Builder
		for k, s := range list {
			if k > 0 {
				p.WriteByte(' ')
			}
			fmt.Fprintf(&p, "%.1f,%.1f", px(s.x), py(s.y))
		}
		return p.String()
	}
	for _, a := range c.bands {
		back := make([]spot, 0, len(a.low))
		for k := len(a.low) - 1; k >= 0; k-- {
			back = append(back, a.low[k])
		}
		fmt.Fprintf(&b, `<polygon class="%s" points="%s %s"/>`, a.class, path(a.above), path(back))
	}
	for _, l := range c.lines {
		fmt.Fprintf(&b, `<polyline class="%s" points="%s"/>`, l.class, path(l.spots))
	}
	for _, s := range c.dots {
		fmt.Fprintf(&b, `<circle class="dot" cx="%.1f" cy="%.1f" r="3"/>`, px(s.x), py(s.y))
	}
	for _, w := range c.words {
		anchor := ""
		if px(w.at.x) > chartWidth*0.6 {
			anchor = " end"
		}
		off := -5.0
		if w.below {
			off = 14
		}
		fmt.Fprintf(&b, `<text class="word%s" x="%.1f" y="%.1f">%s</text>`, anchor, px(w.at.x), py(w.at.y)+off, html.EscapeString(w.text))
	}
	fmt.Fprintf(&b, `<text class="axis mid" x="%.1f" y="%.1f">%s</text>`, (padLeft+chartWidth-padRight)/2, chartHeight-6, html.EscapeString(c.x))
	fmt.Fprintf(&b, `<text class="axis mid" transform="translate(13 %.1f) rotate(-90)">%s</text></svg>`, (padTop+chartHeight-padUp)/2, html.EscapeString(c.y))
	return template.HTML(b.String())
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
