package plot

import (
	"image/color"
	"math"

	"amphora/analyze"
	"amphora/dashboards/curve"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// panel is one quantity over time.
type panel struct {
	name  string // with the unit, as on the axis
	ink   color.Color
	value func(curve.Point) float64
	least float64 // span: less would make mountains of a meter's last digit
	zero  bool    // zero is shown
	blank bool    // nothing was measured
	y     scale
}

func panels(points []curve.Point) []panel {
	list := []panel{
		{name: "voltage (V)", ink: voltsInk, least: 0.2, value: func(p curve.Point) float64 { return p.Volts }},
		{name: "current (A)", ink: ampsInk, least: 0.05, zero: true, value: func(p curve.Point) float64 { return p.Amps }},
	}
	warmth := panel{name: "temperature (°C)", ink: celsiusInk, least: 4, value: func(p curve.Point) float64 { return p.Celsius }}
	for _, p := range points {
		if analyze.Known(p.Celsius) {
			list = append(list, warmth)
			break
		}
	}
	for i := range list {
		list[i].fit(points)
	}
	return list
}

// fit chooses the span of the axis: all that was measured, and a little air.
func (p *panel) fit(points []curve.Point) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, q := range points {
		if x := p.value(q); analyze.Known(x) {
			low, high = min(low, x), max(high, x)
		}
	}
	p.blank = low > high
	if p.zero || p.blank {
		low, high = min(low, 0), max(high, 0)
	}
	if lack := p.least - (high - low); lack > 0 {
		low, high = low-lack/2, high+lack/2
	}
	air := 0.08 * (high - low)
	p.y.low, p.y.high = low-air, high+air
}

// axis draws the name of a panel, its grid and the numbers on the left.
func (p *panel) axis(c draw.Canvas, x scale, times []tick) {
	for _, t := range times {
		c.StrokeLine2(pen(0.5, grid), x.at(t.at), p.y.from, x.at(t.at), p.y.to)
	}
	name := bold(lettering(9.5, p.ink, text.XCenter, text.YTop))
	name.Rotation = math.Pi / 2
	c.FillText(name, vg.Point{X: 12, Y: (p.y.from + p.y.to) / 2}, p.name)
	if p.blank {
		c.FillText(lettering(11, quiet, text.XCenter, text.YCenter), vg.Point{X: (x.from + x.to) / 2, Y: (p.y.from + p.y.to) / 2}, "no readings")
		return
	}
	numbers := lettering(9, quiet, text.XRight, text.YCenter)
	for _, t := range p.y.ticks(roundStep(p.y.high-p.y.low, 6), 1) {
		line := pen(0.5, grid)
		if t.at == 0 {
			line = pen(0.8, frame)
		}
		c.StrokeLine2(line, x.from, p.y.at(t.at), x.to, p.y.at(t.at))
		c.FillText(numbers, vg.Point{X: x.from - 6, Y: p.y.at(t.at)}, t.text)
	}
}

// curve draws the quantity. The line is broken where rows are missing; a value
// that stands alone is a dot.
func (p *panel) curve(c draw.Canvas, x scale, points []curve.Point, gaps []analyze.Gap) {
	var run []vg.Point
	last := math.NaN()
	flush := func() {
		if len(run) == 1 {
			c.DrawGlyphNoClip(draw.GlyphStyle{Color: p.ink, Radius: 2, Shape: draw.CircleGlyph{}}, run[0])
		} else if len(run) > 1 {
			c.StrokeLines(pen(1.4, p.ink), run)
		}
		run = nil
	}
	for _, q := range points {
		v := p.value(q)
		if !analyze.Known(v) {
			continue
		}
		if across(gaps, last, q.At) {
			flush()
		}
		run = append(run, vg.Point{X: x.at(q.At), Y: p.y.at(v)})
		last = q.At
	}
	flush()
}

// across reports whether a gap lies between two neighbouring times.
func across(gaps []analyze.Gap, from, to float64) bool {
	for _, g := range gaps {
		middle := float64(g.StartS+g.EndS) / 2
		if from < middle && middle < to {
			return true
		}
	}
	return false
}
