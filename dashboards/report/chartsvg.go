package report

import (
	"fmt"
	"html"
	"html/template"
	"slices"
	"strings"

	"amphora/analyze"
)

// SVG draws the chart; nothing where there is nothing to draw.
func (c *chart) SVG() template.HTML {
	if c == nil {
		return ""
	}
	d := drawing{}
	d.x, d.y = c.extents()
	if !d.x.spans() || !d.y.spans() {
		return ""
	}
	d.put(`<svg class="chart" viewBox="0 0 %g %g" role="img" aria-label="%s">`, chartWidth, chartHeight, html.EscapeString(c.about))
	d.grid(c)
	for _, a := range c.bands {
		d.put(`<polygon class="%s" points="%s %s"/>`, a.class, d.path(a.above), d.path(reversed(a.below)))
	}
	for _, l := range c.lines {
		d.put(`<polyline class="%s" points="%s"/>`, l.class, d.path(l.spots))
	}
	for _, s := range c.dots {
		d.put(`<circle class="dot" cx="%.1f" cy="%.1f" r="3"/>`, d.across(s.x), d.down(s.y))
	}
	d.words(c)
	d.WriteString("</svg>")
	return template.HTML(d.String())
}

func (e extent) spans() bool { return analyze.Known(e.high-e.low) && e.low < e.high }

// drawing is a chart on its way to SVG.
type drawing struct {
	strings.Builder
	x, y extent
}

func (d *drawing) put(format string, values ...any) { fmt.Fprintf(d, format, values...) }

// across and down put values on paper.
func (d *drawing) across(v float64) float64 {
	return padLeft + (v-d.x.low)/(d.x.high-d.x.low)*(chartWidth-padLeft-padRight)
}

func (d *drawing) down(v float64) float64 {
	return chartHeight - padBottom - (v-d.y.low)/(d.y.high-d.y.low)*(chartHeight-padBottom-padTop)
}

func (d *drawing) path(list []spot) string {
	points := make([]string, len(list))
	for k, s := range list {
		points[k] = fmt.Sprintf("%.1f,%.1f", d.across(s.x), d.down(s.y))
	}
	return strings.Join(points, " ")
}

// grid draws the axes' marks and their lines.
func (d *drawing) grid(c *chart) {
	line := func(x1, y1, x2, y2 float64) {
		d.put(`<line class="grid" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, x1, y1, x2, y2)
	}
	for _, m := range marks(d.y.low, d.y.high, 5) {
		y := d.down(m.at)
		line(padLeft, y, chartWidth-padRight, y)
		d.put(`<text class="tick end" x="%.1f" y="%.1f">%s</text>`, padLeft-7, y+4, html.EscapeString(m.text))
	}
	texts := c.texts
	if texts == nil {
		texts = func(low, high float64) []mark { return marks(low, high, 7) }
	}
	for _, m := range texts(d.x.low, d.x.high) {
		x := d.across(m.at)
		line(x, padTop, x, chartHeight-padBottom)
		d.put(`<text class="tick mid" x="%.1f" y="%.1f">%s</text>`, x, chartHeight-padBottom+15, html.EscapeString(m.text))
	}
}

// words writes the labels and what the axes show.
func (d *drawing) words(c *chart) {
	for _, w := range c.words {
		side, off := "", -5.0
		if d.across(w.at.x) > chartWidth*0.6 {
			side = " end"
		}
		if w.below {
			off = 14
		}
		d.put(`<text class="word%s" x="%.1f" y="%.1f">%s</text>`, side, d.across(w.at.x), d.down(w.at.y)+off, html.EscapeString(w.text))
	}
	d.put(`<text class="axis mid" x="%.1f" y="%.1f">%s</text>`, (padLeft+chartWidth-padRight)/2, chartHeight-6, html.EscapeString(c.x))
	d.put(`<text class="axis mid" transform="translate(13 %.1f) rotate(-90)">%s</text>`, (padTop+chartHeight-padBottom)/2, html.EscapeString(c.y))
}

func reversed(list []spot) []spot {
	back := slices.Clone(list)
	slices.Reverse(back)
	return back
}
