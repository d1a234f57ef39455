package plot

import (
	"slices"

	"amphora/analyze"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// drawStages shades the stages of every session through all panels, in the
// strip above them more strongly, with the name and the ampere-hours where they
// fit. Gaps are blank again: nothing is known of them.
func (p *page) drawStages(c draw.Canvas) {
	for _, s := range p.sessions {
		for _, g := range s.Stages {
			x, ok := p.stretch(g.StartS, g.EndS)
			if !ok {
				continue
			}
			for _, q := range p.panels {
				box(c, shadeOf(g.Stage).field, x, q.y.from, q.y.to)
			}
			box(c, shadeOf(g.Stage).head, x, p.ceiling(), p.ceiling()+headHeight)
			if text := stageText(g); fits(text, x) {
				c.FillText(nameLettering(ink), vg.Point{X: (x.from + x.to) / 2, Y: p.ceiling() + headHeight/2}, text)
			}
		}
	}
	for _, g := range p.gaps {
		if x, ok := p.stretch(g.StartS, g.EndS); ok {
			for _, q := range p.panels {
				box(c, paper, x, q.y.from, q.y.to)
			}
		}
	}
}

// drawEnds draws a dashed line where a charge was complete, or where its
// current stopped before that, and says which at the foot of the voltage, but
// never one text over another.
func (p *page) drawEnds(c draw.Canvas) {
	var said []span
	for _, s := range p.sessions {
		at, words := endOf(s, len(p.sessions) > 2)
		if words == "" || !analyze.Known(at) {
			continue
		}
		x, style := p.time.clamp(at), nameLettering(ink)
		for _, q := range p.panels {
			c.StrokeLines(pen(0.9, ink, 4, 3), []vg.Point{{X: x, Y: q.y.from}, {X: x, Y: q.y.to}})
		}
		style.XAlign, style.YAlign = text.XLeft, text.YBottom
		left, width := x+5, style.Width(words)
		if left+width > p.time.to {
			left = x - 5 - width
		}
		place := span{left, left + width}
		if !slices.ContainsFunc(said, place.meets) {
			c.FillText(style, vg.Point{X: left, Y: p.panels[0].y.from + 5}, words)
			said = append(said, place)
		}
	}
}

// stretch is a stretch of time on paper; ok is false where nothing is of it.
func (p *page) stretch(from, to analyze.Number) (x span, ok bool) {
	if !analyze.Known(from) || !analyze.Known(to) {
		return span{}, false
	}
	x = span{p.time.clamp(float64(from)), p.time.clamp(float64(to))}
	return x, x.to > x.from
}

func fits(words string, x span) bool { return nameLettering(ink).Width(words)+8 <= x.to-x.from }
