package plot

import (
	"image/color"
	"math"
	"strings"

	"amphora/analyze"
	"amphora/dashboards/curve"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// The page, in points from below: the time axis, the panels with the tallest
// (the voltage) on top, the stages' names, lanes for what does not fit there,
// and the title.
const (
	marginLeft  = 58
	marginRight = 22
	axisHeight  = 44
	panelGap    = 14
	headHeight  = 16 // of the strip with the stages' names
	laneHeight  = 15
	titleHeight = 52
)

var panelHeights = []vg.Length{220, 150, 110}

// page is the picture with every place decided and nothing drawn yet.
type page struct {
	title    string
	points   []curve.Point
	sessions []analyze.Session
	gaps     []analyze.Gap
	panels   []panel
	names    []name
	leftOut  int // names that found no room
	time     scale
	height   vg.Length
}

func newPage(title string, points []curve.Point, sessions []analyze.Session) *page {
	p := &page{title: printable(title), points: points, sessions: sessions, panels: panels(points)}
	for _, s := range sessions {
		p.gaps = append(p.gaps, s.Gaps...)
	}
	p.time = timeScale(points, sessions)
	used := p.placeNames()

	y := vg.Length(axisHeight)
	for i := len(p.panels) - 1; i >= 0; i-- {
		p.panels[i].y.from, p.panels[i].y.to = y, y+panelHeights[i]
		y += panelHeights[i] + panelGap
	}
	p.height = y - panelGap + headHeight + vg.Length(used)*laneHeight + titleHeight
	return p
}

// timeScale spans the curve; without one, the sessions; without any, an hour.
func timeScale(points []curve.Point, sessions []analyze.Session) scale {
	low, high := math.Inf(1), math.Inf(-1)
	add := func(t float64) {
		if analyze.Known(t) {
			low, high = min(low, t), max(high, t)
		}
	}
	for _, q := range points {
		add(q.At)
	}
	if len(points) == 0 {
		for _, s := range sessions {
			add(float64(s.StartS))
			add(float64(s.EndS))
		}
	}
	if low > high {
		low, high = 0, 3600
	}
	if high-low < 1 { // a single row, seen from the log's first
		low, high = min(low, 0), max(high, 0)+60
	}
	return scale{low, high, marginLeft, width - marginRight}
}

// floor and ceiling are the lower edge of the lowest panel and the upper edge
// of the highest.
func (p *page) floor() vg.Length   { return p.panels[len(p.panels)-1].y.from }
func (p *page) ceiling() vg.Length { return p.panels[0].y.to }

func (p *page) draw(c draw.Canvas) {
	box(c, paper, span{0, width}, 0, p.height)
	style := bold(lettering(14, ink, text.XLeft, text.YTop))
	c.FillText(style, vg.Point{X: marginLeft, Y: p.height - 12}, shorten(p.title, style, p.time.to-p.time.from))
	c.FillText(lettering(10, quiet, text.XLeft, text.YTop), vg.Point{X: marginLeft, Y: p.height - 31}, p.remark())
	p.drawStages(c)
	unit, times := p.time.timeTicks()
	for i := range p.panels {
		p.panels[i].axis(c, p.time, times)
	}
	p.drawEnds(c)
	for i := range p.panels {
		p.drawFrame(c, p.panels[i].y)
		p.panels[i].curve(c, p.time, p.points, p.gaps)
	}
	p.drawNames(c)
	p.drawTimes(c, unit, times)
}

func (p *page) drawFrame(c draw.Canvas, y scale) {
	x := p.time
	c.StrokeLines(pen(0.7, frame), []vg.Point{
		{X: x.from, Y: y.from}, {X: x.to, Y: y.from}, {X: x.to, Y: y.to}, {X: x.from, Y: y.to}, {X: x.from, Y: y.from}})
}

func (p *page) drawTimes(c draw.Canvas, unit string, times []tick) {
	for _, t := range times {
		c.FillText(lettering(9, quiet, text.XCenter, text.YTop), vg.Point{X: p.time.at(t.at), Y: axisHeight - 5}, t.text)
	}
	c.FillText(bold(lettering(9.5, ink, text.XCenter, text.YTop)), vg.Point{X: (p.time.from + p.time.to) / 2, Y: axisHeight - 21}, "time ("+unit+")")
}

// box fills a rectangle.
func box(c draw.Canvas, fill color.Color, x span, from, to vg.Length) {
	c.FillPolygon(fill, []vg.Point{{X: x.from, Y: from}, {X: x.to, Y: from}, {X: x.to, Y: to}, {X: x.from, Y: to}})
}

// printable drops what a picture cannot hold: control characters would break
// the SVG, and a file's name may contain anything.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r >= 0x7f && r < 0xa0 || r == 0xfffe || r == 0xffff {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}

// shorten drops the beginning of what is too long: a path tells most at its end.
func shorten(s string, style text.Style, room vg.Length) string {
	runes := []rune(s)
	for cut := 0; ; cut++ {
		if cut > 0 {
			s = "…" + string(runes[cut:])
		}
		if cut == len(runes) || style.Width(s) <= room {
			return s
		}
		cut = max(cut, len(runes)-300)
	}
}
